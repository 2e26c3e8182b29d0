(least) => {
  const wrong = [];
  const seen = (one) => { const box = one.getBoundingClientRect(), look = getComputedStyle(one);
    return box.width > 0 && box.height > 0 && look.visibility !== "hidden" && look.display !== "none"; };
  const said = (one) => (one.tagName + (one.id ? "#" + one.id : "") + " " + (one.textContent || "").trim().slice(0, 40));
  if (!document.documentElement.lang) wrong.push("no language");
  if (!document.title.trim()) wrong.push("no title");
  const name = (one) => (one.getAttribute("aria-label") || (one.labels && one.labels.length ? one.labels[0].textContent : "")
    || one.textContent || "").trim();
  document.querySelectorAll("button,a[href],input,summary,[role=dialog]").forEach((one) => {
    if (!name(one)) wrong.push("no name: " + said(one)); });
  document.querySelectorAll("img:not([alt]),svg:not([aria-hidden=true]):not([aria-label])").forEach((one) => {
    if (!one.closest("[aria-hidden=true]")) wrong.push("no text for a picture: " + said(one)); });
  let last = 0;
  document.querySelectorAll("h1,h2,h3,h4,h5,h6").forEach((one) => { const level = Number(one.tagName[1]);
    if (level > last + 1) wrong.push("heading level skipped: " + said(one)); last = level; });
  if (document.querySelectorAll("h1").length !== 1) wrong.push("not one main heading");
  const ids = [...document.querySelectorAll("[id]")].map((one) => one.id);
  ids.filter((id, n) => ids.indexOf(id) !== n).forEach((id) => wrong.push("id twice: " + id));
  document.querySelectorAll("button,a[href],summary,label.tick,label.entry input,label.tick input").forEach((one) => {
    const box = one.getBoundingClientRect();
    if (seen(one) && (box.height < least || box.width < least)) wrong.push("target too small: " + said(one) + " " + box.width + " x " + box.height);
  });
  const rgb = (text) => { const found = text.match(/[0-9.]+/g).map(Number); return found.length < 4 ? [...found, 1] : found; };
  const light = ([r, g, b]) => { const part = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
    return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b); };
  const ground = (one) => { for (let at = one; at; at = at.parentElement) { const c = rgb(getComputedStyle(at).backgroundColor);
    if (c[3] > 0) return c; } return [255, 255, 255, 1]; };
  document.querySelectorAll("body *").forEach((one) => {
    if (one.closest("svg") || !seen(one)) return;
    if (![...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim())) return;
    const look = getComputedStyle(one), a = light(rgb(look.color)), b = light(ground(one));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), size = parseFloat(look.fontSize);
    const large = size >= 24 || (size >= 18.66 && Number(look.fontWeight) >= 700);
    if (ratio < (large ? 3 : 4.5)) wrong.push("contrast " + ratio.toFixed(2) + ": " + said(one));
  });
  if (document.documentElement.scrollWidth > window.innerWidth) wrong.push("scrolls sideways: " + document.documentElement.scrollWidth);
  return wrong;
}
