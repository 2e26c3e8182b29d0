"use strict";
(function () {
  var root = document.documentElement, job = document.body.dataset.job;
  function keep(name, value) { try { localStorage.setItem(job + "/" + name, value); } catch (e) { /* private browsing: ticks last as long as the page */ } }
  function kept(name) { try { return localStorage.getItem(job + "/" + name); } catch (e) { return null; } }
  function byId(name) { return document.getElementById(name); }
  function all(what) { return Array.prototype.slice.call(document.querySelectorAll(what)); }
  root.classList.add("js");
  all("input[data-tick]").forEach(function (box) {
    box.checked = kept(box.dataset.tick) === "1";
    box.addEventListener("change", function () { keep(box.dataset.tick, box.checked ? "1" : "0"); });
  });
  all("input[data-note]").forEach(function (field) {
    field.value = kept(field.dataset.note) || "";
    field.addEventListener("input", function () { keep(field.dataset.note, field.value); });
  });
  all("svg[data-same]").forEach(function (copy) {
    var source = byId(copy.dataset.same), use = document.createElementNS("http://www.w3.org/2000/svg", "use");
    var box = source.getAttribute("viewBox").split(" ");
    copy.setAttribute("viewBox", box.join(" "));
    use.setAttribute("href", "#" + source.id); use.setAttribute("width", box[2]); use.setAttribute("height", box[3]);
    copy.appendChild(use);
  });
  var sun = byId("sun");
  function shine(on) { root.classList.toggle("sun", on); sun.setAttribute("aria-pressed", on ? "true" : "false"); }
  shine(kept("sun") === "1");
  sun.addEventListener("click", function () { shine(!root.classList.contains("sun")); keep("sun", root.classList.contains("sun") ? "1" : "0"); });
  var views = all("section.view"), names = views.map(function (view) { return view.id; }), now = 0;
  function show(place, focus) {
    now = Math.max(0, Math.min(views.length - 1, place));
    views.forEach(function (view, i) { view.classList.toggle("open", i === now); });
    byId("back").disabled = now === 0; byId("next").disabled = now === views.length - 1;
    window.scrollTo(0, 0);
    if (focus) views[now].querySelector("h1,h2").focus({ preventScroll: true });
  }
  function read(focus) { show(Math.max(0, names.indexOf(decodeURIComponent(location.hash.slice(1)))), focus); }
  function go(step) {
    var to = Math.max(0, Math.min(views.length - 1, now + step));
    if (to !== now) location.hash = names[to];
  }
  window.addEventListener("hashchange", function () { close(); read(true); });
  byId("back").addEventListener("click", function () { go(-1); });
  byId("next").addEventListener("click", function () { go(1); });
  byId("top").addEventListener("click", function () { location.hash = "contents"; });
  var zoom = byId("zoom"), room = zoom.querySelector(".room"), size = 100, from = null;
  function fit() { var svg = room.querySelector("svg"); if (svg) svg.style.width = size + "%"; }
  function close() { if (!zoom.classList.contains("open")) return; zoom.classList.remove("open"); room.textContent = ""; if (from) from.focus(); }
  all("button.sheet").forEach(function (sheet) {
    sheet.addEventListener("click", function () {
      from = sheet; room.textContent = "";
      var svg = sheet.querySelector("svg").cloneNode(true); svg.removeAttribute("id");
      room.appendChild(svg); zoom.classList.add("open");
      var paper = svg.viewBox.baseVal;
      size = Math.max(220, Math.min(900, 400 * paper.width / room.clientWidth)); fit(); // 4 px for a millimetre of paper: its letters can be read
      if (paper.width > paper.height) { // a drawing stands left of the strip with its key; a page is read from its head
        room.scrollLeft = 0.4 * room.scrollWidth - room.clientWidth / 2; room.scrollTop = 0.45 * room.scrollHeight - room.clientHeight / 2;
      }
      byId("close").focus();
    });
  });
  byId("bigger").addEventListener("click", function () { size = Math.min(900, size * 1.4); fit(); });
  byId("smaller").addEventListener("click", function () { size = Math.max(100, size / 1.4); fit(); });
  byId("close").addEventListener("click", close);
  document.addEventListener("keydown", function (key) {
    if (zoom.classList.contains("open")) {
      if (key.key === "Escape") close();
      if (key.key === "Tab") {
        var stops = [byId("smaller"), byId("bigger"), byId("close"), room], at = stops.indexOf(document.activeElement);
        key.preventDefault(); stops[(at + (key.shiftKey ? stops.length - 1 : 1)) % stops.length].focus();
      }
      return;
    }
    if (key.target.tagName === "INPUT" && key.target.type === "text") return;
    if (key.altKey || key.ctrlKey || key.metaKey) return;
    if (key.key === "ArrowRight" || key.key === "PageDown") { key.preventDefault(); go(1); }
    if (key.key === "ArrowLeft" || key.key === "PageUp") { key.preventDefault(); go(-1); }
  });
  read(false);
})();
