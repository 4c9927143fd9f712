// Sets the theme before the first paint, so that a dark set never sees a flash
// of light. A classic script, since modules run after the page is drawn.
(function () {
  let theme = "dark";
  try {
    theme = localStorage.getItem("evenfall.theme") || theme;
  } catch {
    // Storage is blocked: dark it stays.
  }
  document.documentElement.dataset.theme = theme;
})();
