// Closes an open menu when the person turns to something else.
addEventListener("click", (event) => {
  for (const menu of document.querySelectorAll("details.account[open]")) {
    if (!menu.contains(event.target)) menu.open = false;
  }
});
addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const menu of document.querySelectorAll("details.account[open]")) {
    menu.open = false;
    menu.querySelector("summary").focus();
  }
});
