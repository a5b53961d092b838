"use strict";
// Sorting a table by one of its columns. Without this script the table stays as it is.
for (const table of document.querySelectorAll("table.foods")) {
  const heads = [...table.tHead.rows[0].cells];
  const body = table.tBodies[0];
  const first = [...body.rows];
  const status = document.getElementById("sorted");
  heads.forEach((head, column) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "sort";
    button.textContent = head.textContent;
    head.textContent = "";
    head.append(button);
    button.addEventListener("click", () => {
      const falling = head.getAttribute("aria-sort") !== "descending" && column > 0;
      const sign = falling ? -1 : 1;
      const turned = column === 0 && head.getAttribute("aria-sort") === "ascending" ? -1 : 1;
      const value = (row) => row.cells[column].dataset.value;
      const rows = [...first].sort((a, b) => {
        if (column === 0) return turned * (first.indexOf(a) - first.indexOf(b));
        const [x, y] = [value(a), value(b)];
        if (x === "" || y === "") return (x === "") - (y === "");
        return sign * (Number(x) - Number(y));
      });
      heads.forEach((other) => other.removeAttribute("aria-sort"));
      const down = column === 0 ? turned < 0 : falling;
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      body.append(...rows);
      status.textContent = `Sorted by ${button.textContent}, ${down ? "falling" : "rising"}`;
    });
  });
}
