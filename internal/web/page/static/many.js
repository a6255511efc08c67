// The table of many recordings: adds why some of them could not be measured.

const refused = JSON.parse(sessionStorage.getItem("refused") ?? "[]");
sessionStorage.removeItem("refused");
document.getElementById("refused").textContent = refused.map(([name, why]) => `${name}: ${why}`).join(" ");
