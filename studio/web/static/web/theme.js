// Keeps the chosen theme on this device and puts it on before the first paint: load it in the head, not deferred.
(() => {
  const key = "fullstop-theme";
  const root = document.documentElement;
  const kept = () => {
    try { return localStorage.getItem(key) || "auto"; } catch { return "auto"; }
  };
  const wear = (theme) => {
    if (["light", "dark", "red"].includes(theme)) root.dataset.theme = theme;
    else delete root.dataset.theme;
  };
  wear(kept());
  addEventListener("storage", (event) => { if (event.key === key) wear(kept()); });
  addEventListener("DOMContentLoaded", () => {
    for (const strip of document.querySelectorAll("fieldset.theme")) {
      strip.hidden = false;
      for (const choice of strip.querySelectorAll("input")) {
        choice.checked = choice.value === kept();
        choice.addEventListener("change", () => {
          wear(choice.value);
          try { localStorage.setItem(key, choice.value); } catch { /* private window: it lasts for this page */ }
        });
      }
    }
  });
})();
