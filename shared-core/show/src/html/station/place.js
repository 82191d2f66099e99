/* A finger on the craft from above fills in part, side and distance from the transom. Nothing here is
   needed: the fields do the same. */
(() => {
  "use strict";
  const number = (svg, name) => Number(svg.dataset[name]);

  /* Where a finger is, in the measure of the drawing. */
  const at = (svg, event) => {
    const matrix = svg.getScreenCTM();
    if (!matrix) return null;
    return new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  };

  const sideOf = (svg, x) => {
    const off = x - number(svg, "centre");
    if (Math.abs(off) < number(svg, "beam") * 0.2) return "centre";
    return off < 0 ? "port" : "starboard";
  };

  /* To 5 cm: no finger is finer. */
  const distanceOf = (svg, y) => {
    const length = number(svg, "lengthMm");
    if (!length) return "";
    const transom = number(svg, "transom");
    const share = (transom - y) / (transom - number(svg, "bow"));
    const within = Math.min(1, Math.max(0, share));
    return `${Math.round((within * length) / 50) * 5}cm`;
  };

  const changed = (field) => field.dispatchEvent(new Event("change", { bubbles: true }));

  const named = (place, name) =>
    [...place.querySelectorAll("[name]")].filter((one) => one.name === place.dataset.place + name);

  const choose = (place, part) => {
    const [select] = named(place, "part");
    if (!part || !select) return;
    select.value = part;
    changed(select);
    place.querySelectorAll("[data-part]").forEach((one) => {
      one.classList.toggle("place-chosen", one.dataset.part === part);
    });
  };

  const locate = (place, svg, point) => {
    const side = named(place, "side").find((one) => one.value === sideOf(svg, point.x));
    if (side) {
      side.checked = true;
      changed(side);
    }
    const [distance] = named(place, "from-transom");
    const said = distanceOf(svg, point.y);
    if (distance && said) {
      distance.value = said;
      changed(distance);
    }
    const dot = svg.querySelector(".place-dot");
    if (dot) {
      dot.setAttribute("cx", point.x);
      dot.setAttribute("cy", point.y);
      dot.removeAttribute("visibility");
    }
  };

  document.addEventListener("click", (event) => {
    const svg = event.target.closest ? event.target.closest(".place-drawing") : null;
    const place = svg && svg.closest("[data-place]");
    if (!place) return;
    event.preventDefault();
    const part = event.target.closest("[data-part]") || event.target.querySelector("[data-part]");
    choose(place, part && part.dataset.part);
    /* Keys choose a part and point at no place on it. */
    const point = event.detail > 0 ? at(svg, event) : null;
    if (point) locate(place, svg, point);
  });
})();
