// The pages that are made to be printed: their button prints.

const button = document.getElementById("print");
button.hidden = false;
button.addEventListener("click", () => window.print());
