/* A tap on a name goes on to the next state. Without this script the choice beside the name does the same. */

const ORDER = { "": "absent", present: "absent", absent: "late", late: "excused", excused: "present" };

for (const who of document.querySelectorAll(".who")) {
  const select = who.querySelector("select");
  const label = who.querySelector("label");
  const name = label.textContent;
  const button = document.createElement("button");
  const show = () => {
    who.dataset.state = select.value;
    button.setAttribute("aria-label", `${name}: ${select.selectedOptions[0].textContent}. Change`);
  };
  button.type = "button";
  button.className = "tap";
  button.textContent = name;
  select.setAttribute("aria-label", name);
  label.replaceWith(button);
  button.addEventListener("click", () => {
    select.value = ORDER[select.value];
    select.dispatchEvent(new Event("change", { bubbles: true }));
  });
  select.addEventListener("change", show);
  who.addEventListener("refresh", show);
  show();
}
