/* A tap puts the points of a button into the field of its caption; a second tap empties it again. */

for (const group of document.querySelectorAll(".points .taps")) {
  const buttons = [...group.querySelectorAll("button")];
  const field = document.getElementById(buttons[0]?.dataset.for);
  if (!field) continue;
  const show = () => {
    for (const button of buttons) {
      button.setAttribute("aria-pressed", String(field.value.trim().replace(",", ".") === button.value));
    }
  };
  for (const button of buttons) {
    button.addEventListener("click", () => {
      field.value = button.getAttribute("aria-pressed") === "true" ? "" : button.value;
      show();
    });
  }
  field.addEventListener("input", show);
  group.hidden = false;
  show();
}
