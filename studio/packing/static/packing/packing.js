// Keeps the finger on the field after a scan, and offers printing only where it can be done.
(() => {
  const field = document.getElementById("scan");
  const coarse = window.matchMedia("(pointer: coarse)").matches;
  if (field && !coarse) field.focus({ preventScroll: true });
  document.querySelectorAll("[data-print]").forEach((button) => {
    button.hidden = false;
    button.addEventListener("click", () => window.print());
  });
})();
