// The book is whole without this: it keeps ticks in this browser, and shows a part of the index.
(function () {
  'use strict';
  var key = 'studbay ' + document.title, kept = {};
  try {
    var saved = JSON.parse(localStorage.getItem(key));
    if (Array.isArray(saved)) saved.forEach(function (name) { kept[name] = true; });
  } catch (e) { /* a browser that keeps nothing, or kept something else */ }
  var boxes = Array.prototype.slice.call(document.querySelectorAll('input[type=checkbox]'));
  boxes.forEach(function (box) { if (!box.disabled && kept[box.dataset.tick] === true) box.checked = true; });
  document.addEventListener('change', function (event) {
    var one = event.target;
    if (!one.dataset.tick) return;
    kept[one.dataset.tick] = one.checked;
    boxes.forEach(function (box) { if (box.dataset.tick === one.dataset.tick && !box.disabled) box.checked = one.checked; });
    try {
      localStorage.setItem(key, JSON.stringify(Object.keys(kept).filter(function (name) { return kept[name] === true; })));
    } catch (e) { /* full, or not allowed: the tick holds as long as the page is open */ }
  });
  var index = document.getElementById('~index'), filter = document.getElementById('~filter');
  filter.parentNode.hidden = false;
  filter.addEventListener('input', function () {
    var wanted = filter.value.trim().toLowerCase();
    index.querySelectorAll('ul').forEach(function (list) {
      var any = false;
      list.querySelectorAll('li').forEach(function (item) {
        item.hidden = item.textContent.toLowerCase().indexOf(wanted) < 0;
        any = any || !item.hidden;
      });
      list.hidden = list.previousElementSibling.hidden = !any;
    });
  });
}());
