// Shows how far a takeoff is without loading the page anew; without this the page has itself loaded by the browser.
(function () {
  "use strict";
  function look() {
    var shown = document.getElementById("progress");
    if (!shown || !shown.hasAttribute("data-watch")) return;
    setTimeout(function () {
      fetch(location.href, { headers: { Accept: "text/html" } })
        .then(function (answer) { return answer.ok ? answer.text() : null; })
        .then(function (text) {
          var page = text && new DOMParser().parseFromString(text, "text/html");
          var fresh = page && page.getElementById("progress");
          if (!fresh) return look();
          if (!fresh.hasAttribute("data-watch")) return location.reload();
          shown.querySelector("progress").value = fresh.querySelector("progress").value;
          shown.querySelector("p").textContent = fresh.querySelector("p").textContent;
          look();
        })
        .catch(look);
    }, 1500);
  }
  look();
})();
