// A button that copies a field, where the browser can; without it the field is selected by hand.
for (const button of document.querySelectorAll("[data-copy]")) {
  if (!navigator.clipboard) continue;
  const field = document.getElementById(button.dataset.copy);
  button.hidden = false;
  button.addEventListener("click", async () => {
    await navigator.clipboard.writeText(field.value);
    button.textContent = "Copied";
  });
  field.addEventListener("focus", () => field.select());
}
