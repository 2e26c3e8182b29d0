"use strict";
(function () {
  var root = document.documentElement, job = document.body.dataset.job;
  function keep(name, value) { try { localStorage.setItem(job + "/" + name, value); } catch (e) { /* private browsing: ticks last as long as the page */ } }
  function kept(name) { try { return localStorage.getItem(job + "/" + name); } catch (e) { return null; } }
  document.querySelectorAll("input[data-tick]").forEach(function (box) {
    box.checked = kept(box.dataset.tick) === "1";
    box.addEventListener("change", function () { keep(box.dataset.tick, box.checked ? "1" : "0"); });
  });
  if (kept("sun") === "1") root.classList.add("sun");
  document.getElementById("sun").addEventListener("click", function () {
    root.classList.toggle("sun"); keep("sun", root.classList.contains("sun") ? "1" : "0");
  });
  var parts = Array.prototype.slice.call(document.querySelectorAll("h1"));
  function here() {
    var now = 0;
    parts.forEach(function (head, i) { if (head.getBoundingClientRect().top < 80) now = i; });
    return now;
  }
  function go(step) { var to = parts[Math.max(0, Math.min(parts.length - 1, here() + step))]; if (to) to.scrollIntoView(); }
  document.getElementById("back").addEventListener("click", function () { go(-1); });
  document.getElementById("next").addEventListener("click", function () { go(1); });
  document.getElementById("top").addEventListener("click", function () { document.getElementById("contents").scrollIntoView(); });
  var zoom = document.getElementById("zoom"), room = zoom.querySelector(".room"), size = 100, from = null;
  function show() { var svg = room.querySelector("svg"); if (svg) svg.style.width = size + "%"; }
  function close() { zoom.classList.remove("open"); room.textContent = ""; if (from) from.focus(); }
  document.querySelectorAll("button.sheet").forEach(function (sheet) {
    sheet.addEventListener("click", function () {
      from = sheet; size = 220; room.textContent = "";
      room.appendChild(sheet.querySelector("svg").cloneNode(true)); zoom.classList.add("open"); show();
      document.getElementById("close").focus();
    });
  });
  document.getElementById("bigger").addEventListener("click", function () { size = Math.min(900, size * 1.4); show(); });
  document.getElementById("smaller").addEventListener("click", function () { size = Math.max(100, size / 1.4); show(); });
  document.getElementById("close").addEventListener("click", close);
  document.addEventListener("keydown", function (key) { if (key.key === "Escape") close(); });
})();
