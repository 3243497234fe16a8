// Draws a scene record: shapes with roles, as elements of SVG. The record is the one that Python makes.

const NAMESPACE = "http://www.w3.org/2000/svg";

export function element(name, attributes = {}, children = []) {
  const made = document.createElementNS(NAMESPACE, name);
  for (const [key, value] of Object.entries(attributes)) if (value !== "") made.setAttribute(key, value);
  made.append(...children);
  return made;
}

// A coordinate as text: two decimals at most, no trailing zeros, no minus zero.
export function number(value) {
  const text = value.toFixed(2).replace(/0+$/, "").replace(/\.$/, "");
  return text === "-0" || text === "" ? "0" : text;
}

// Path through points; a point that is not finite lifts the pen.
export function polyline(points, closed = false) {
  let out = "";
  let pen = "M";
  for (const [x, y] of points) {
    if (!Number.isFinite(x) || !Number.isFinite(y)) { pen = "M"; continue; }
    out += `${pen}${number(x)} ${number(y)}`;
    pen = "L";
  }
  return out + (closed && out ? "Z" : "");
}

const MAKERS = {
  line: (s) => element("line", { class: s.role, x1: number(s.x1), y1: number(s.y1), x2: number(s.x2), y2: number(s.y2) }),
  path: (s) => element("path", { class: s.role, d: s.d }),
  band: (s) => element("path", { class: s.role, d: s.d }),
  circle: (s) => element("circle", { class: s.role, cx: number(s.x), cy: number(s.y), r: number(s.radius) }),
  text: (s) => element("text", {
    class: s.role, x: number(s.x), y: number(s.y), "text-anchor": s.anchor === "start" ? "" : s.anchor ?? "",
  }, [s.words]),
  group: (s) => element(s.href ? "a" : "g", { class: s.role, id: s.id, href: s.href }, [
    ...(s.title ? [element("title", {}, [s.title])] : []), ...s.items.map(shape),
  ]),
};

function shape(item) { return MAKERS[item.shape](item); }

// The scene as one SVG element, named and described for a screen reader.
export function draw(scene) {
  const title = element("title", { id: `${scene.id}-t` }, [scene.title]);
  const description = element("desc", { id: `${scene.id}-d` }, [scene.description]);
  return element("svg", {
    class: "scene", viewBox: `0 0 ${number(scene.width)} ${number(scene.height)}`,
    width: number(scene.width), height: number(scene.height),
    role: "img", "aria-labelledby": `${scene.id}-t ${scene.id}-d`,
  }, [title, description, ...scene.items.map(shape)]);
}
