// Before the page is drawn: the theme that was chosen, where one was.
try {
  const chosen = localStorage.getItem("theme");
  if (chosen) document.documentElement.dataset.theme = chosen;
} catch { /* storage is closed: the system's theme holds */ }
