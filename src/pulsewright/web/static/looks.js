// Light, dark and dim: the choice is kept in a cookie, so that the next page comes in it at once.

const buttons = [...document.querySelectorAll("[data-look-to]")];

function wear(look) {
  if (look) document.documentElement.dataset.look = look;
  else delete document.documentElement.dataset.look;
  for (const button of buttons) button.setAttribute("aria-pressed", String(button.dataset.lookTo === look));
  document.cookie = `look=${look}; path=/; max-age=${look ? 31536000 : 0}; SameSite=Strict`;
}

for (const button of buttons) {
  button.addEventListener("click", () => {
    const look = button.dataset.lookTo;
    wear(document.documentElement.dataset.look === look ? "" : look);
  });
}
