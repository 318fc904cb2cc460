/* The model: turned, cut open, taken apart, its parts shown by mark, its walls coloured by thickness. */
"use strict";
(() => {
  const { words, parts, colours, language } = pageData;
  const $ = (id) => document.getElementById(id);
  const box = $("viewer");
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const say = (text, values) => text.replace(/\{(\w+)\}/g, (_, name) => values[name]);
  const state = { az: 35, el: 24, zoom: 1, right: 0, up: 0, apart: 0, turned: 0, mark: "", walls: false };
  const pieces = [];
  const cut = { on: false, plane: new THREE.Plane() };
  const { material, materials, shared, INK } = makeLook(cut);
  let renderer, camera, root, turn, frame, waiting = false;

  /* ------------------------------------------------------------ what is drawn */

  /* Geometries and nodes of the file, which is our own: one buffer, triangles and lines, no gaps between numbers. */
  function readModel(buffer) {
    const view = new DataView(buffer);
    const length = view.getUint32(12, true);
    const file = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, length)));
    const start = 28 + length;
    const array = (number) => {
      const accessor = file.accessors[number];
      const Type = { 5126: Float32Array, 5125: Uint32Array, 5123: Uint16Array }[accessor.componentType];
      const size = accessor.type === "VEC3" ? 3 : 1;
      const from = start + file.bufferViews[accessor.bufferView].byteOffset;
      return new THREE.BufferAttribute(new Type(buffer, from, accessor.count * size), size);
    };
    const read = new Map();
    const attribute = (number) => read.get(number) || read.set(number, array(number)).get(number);
    const geometries = file.meshes.map((mesh) =>
      mesh.primitives.map((primitive) => {
        const geometry = new THREE.BufferGeometry();
        const { POSITION, NORMAL, _WALL } = primitive.attributes;
        geometry.setAttribute("position", attribute(POSITION));
        if (NORMAL !== undefined) geometry.setAttribute("normal", attribute(NORMAL));
        if (_WALL !== undefined) geometry.setAttribute("wall", attribute(_WALL));
        geometry.setIndex(attribute(primitive.indices));
        return geometry;
      }),
    );
    const [top] = file.nodes;
    root = new THREE.Group();
    root.quaternion.fromArray(top.rotation);
    root.scale.fromArray(top.scale);
    turn = new THREE.Group();
    root.add(turn);
    for (const number of top.children) {
      const node = file.nodes[number];
      const { role, mark = "", group = role, pull, spread } = node.extras;
      const [faces, edges] = geometries[node.mesh];
      const mesh = new THREE.Mesh(faces);
      const lines = edges && new THREE.LineSegments(edges);
      const place = new THREE.Matrix4();
      if (node.matrix) place.fromArray(node.matrix);
      mesh.matrixAutoUpdate = false;
      turn.add(mesh);
      if (lines) mesh.add(lines);
      const colour = new THREE.Color(...colours[group]);
      const small = group === "fasteners";
      pieces.push({ name: node.name, role, mark, small, group, mesh, lines, place, colour, pull, spread, counts: [] });
      mesh.userData.piece = pieces[pieces.length - 1];
    }
  }

  const caps = new Map();
  function makeCaps() {
    for (const [number, group] of Object.keys(colours).entries()) {
      const kind = group === "concrete" ? "hatched" : "cap";
      const cap = new THREE.Mesh(new THREE.PlaneGeometry(20, 20), material(kind, new THREE.Color(...colours[group]), false));
      cap.renderOrder = 2 * number + 2;
      caps.set(group, cap);
      root.parent.add(cap);
      for (const piece of pieces.filter((one) => one.group === group && !one.small)) {
        piece.counts = ["back", "front"].map((kind) => {
          const mesh = new THREE.Mesh(piece.mesh.geometry, material(kind, INK, false));
          mesh.renderOrder = 2 * number + 1;
          mesh.matrixAutoUpdate = false;
          piece.mesh.add(mesh);
          return mesh;
        });
      }
    }
  }

  /* ------------------------------------------------------------ what is shown, and where */

  const shows = (piece) => {
    if (state.mark && piece.mark === state.mark) return true;
    if (piece.role === "tube") return $("show-concrete").checked;
    return $(`show-${piece.role}`).checked;
  };

  function dress() {
    for (const piece of pieces) {
      const faint = state.mark !== "" && piece.mark !== state.mark;
      piece.mesh.visible = shows(piece);
      piece.mesh.material = material(piece.role === "concrete" ? "concrete" : "face", piece.colour, faint);
      if (piece.lines) {
        piece.lines.visible = $("show-edges").checked && !(faint && piece.small);
        piece.lines.material = material("line", INK, faint);
      }
    }
    shared.walls.value = state.walls;
    if (cut.on && !caps.size) makeCaps();
    for (const [group, cap] of caps) {
      const whole = pieces.filter((piece) => piece.group === group);
      for (const piece of whole) {
        const counted = cut.on && piece.mesh.visible && !piece.mesh.material.transparent;
        for (const mesh of piece.counts) mesh.visible = counted;
      }
      cap.visible = cut.on && whole.some((piece) => piece.counts.some((mesh) => mesh.visible));
    }
  }

  function lay() {
    const groups = Math.min(1, state.apart * 2), own = Math.max(0, state.apart * 2 - 1);
    for (const piece of pieces) {
      const [x, y, z] = piece.pull.map((value, i) => value * groups + piece.spread[i] * own);
      piece.mesh.matrix.makeTranslation(x, y, z).multiply(piece.place);
    }
    turn.rotation.set(0, Math.PI * state.turned, 0);
    turn.position.set(0, 0, pageData.height * state.turned);
    root.updateMatrixWorld(true);
  }

  function bounds() {
    const all = new THREE.Box3(), one = new THREE.Box3();
    for (const piece of pieces) {
      if (!piece.mesh.visible) continue;
      const geometry = piece.mesh.geometry;
      if (!geometry.boundingBox) geometry.computeBoundingBox();
      all.union(one.copy(geometry.boundingBox).applyMatrix4(piece.mesh.matrixWorld));
    }
    if (all.isEmpty()) all.set(new THREE.Vector3(-0.1, -0.1, -0.1), new THREE.Vector3(0.1, 0.1, 0.1));
    return all;
  }

  const axes = () => {
    const az = THREE.MathUtils.degToRad(state.az), el = THREE.MathUtils.degToRad(state.el);
    const right = new THREE.Vector3(Math.cos(az), 0, -Math.sin(az));
    const eye = new THREE.Vector3(Math.sin(az) * Math.cos(el), Math.sin(el), Math.cos(az) * Math.cos(el));
    return { right, eye, up: eye.clone().cross(right) };
  };

  /* Fit what is visible into the frame, seen as it is seen now; a legend as wide as the frame keeps its place above. */
  function fit() {
    const all = bounds(), one = new THREE.Box3(), corner = new THREE.Vector3();
    const { right, up } = axes();
    const centre = all.getCenter(new THREE.Vector3());
    const low = [Infinity, Infinity], high = [-Infinity, -Infinity];
    for (const piece of pieces) {
      if (!piece.mesh.visible) continue;
      one.copy(piece.mesh.geometry.boundingBox).applyMatrix4(piece.mesh.matrixWorld);
      for (let i = 0; i < 8; i++) {
        corner.set(i & 1 ? one.max.x : one.min.x, i & 2 ? one.max.y : one.min.y, i & 4 ? one.max.z : one.min.z).sub(centre);
        [corner.dot(right), corner.dot(up)].forEach((value, j) => {
          low[j] = Math.min(low[j], value);
          high[j] = Math.max(high[j], value);
        });
      }
    }
    if (low[0] > high[0]) low.fill(-0.1), high.fill(0.1);
    const legend = $("legend");
    const taken = legend.offsetWidth > 0.7 * box.clientWidth ? legend.offsetHeight / box.clientHeight : 0;
    const half = 0.53 * Math.max((high[1] - low[1]) / (1 - taken), ((high[0] - low[0]) * box.clientHeight) / box.clientWidth);
    const middle = { right: (low[0] + high[0]) / 2, up: (low[1] + high[1]) / 2 + half * taken };
    frame = { centre, half, radius: all.getSize(new THREE.Vector3()).length(), ...middle };
    setCut();
  }

  function setCut() {
    const axis = $("cut-axis").value;
    const on = axis !== "";
    $("cut-at").disabled = $("cut-flip").disabled = !on;
    if (on !== cut.on) {
      cut.on = on;
      for (const made of materials.values()) {
        made.defines = on ? { CUT: 1 } : {};
        made.needsUpdate = true;
      }
      dress();
    }
    if (!on) return;
    const all = bounds();
    const share = $("cut-at").value / 1000;
    const at = all.min[axis] + (all.max[axis] - all.min[axis]) * (0.001 + 0.998 * share);
    const normal = new THREE.Vector3();
    normal[axis] = $("cut-flip").checked ? 1 : -1;
    cut.plane.set(normal, -normal[axis] * at);
    for (const cap of caps.values()) {
      cap.position.copy(normal).multiplyScalar(normal[axis] * at);
      cap.quaternion.setFromUnitVectors(new THREE.Vector3(0, 0, 1), normal);
      cap.updateMatrixWorld(true);
    }
    $("cut-at").setAttribute("aria-valuetext", `${Math.round(100 * share)} %`);
  }

  function draw() {
    waiting = false;
    const { right, up, eye } = axes();
    const half = frame.half / state.zoom, aspect = box.clientWidth / box.clientHeight;
    const target = frame.centre.clone();
    target.addScaledVector(right, frame.right + state.right).addScaledVector(up, frame.up + state.up);
    const away = frame.radius + target.distanceTo(frame.centre);
    Object.assign(camera, { left: -half * aspect, right: half * aspect, top: half, bottom: -half, near: 0, far: 2 * away });
    camera.position.copy(target).addScaledVector(eye, away);
    camera.up.copy(up);
    camera.lookAt(target);
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld(true);
    const seen = cut.plane.clone().applyMatrix4(camera.matrixWorldInverse);
    shared.cut.value.set(seen.normal.x, seen.normal.y, seen.normal.z, seen.constant);
    renderer.render(root.parent, camera);
  }
  const redraw = () => {
    if (!waiting) requestAnimationFrame(draw);
    waiting = true;
  };
  const changed = () => { dress(); lay(); fit(); redraw(); };

  /* ------------------------------------------------------------ moving */

  let tween = 0, goals = {};
  function glide(more) {
    cancelAnimationFrame(tween);
    goals = { ...goals, ...more };
    const from = Object.fromEntries(Object.keys(goals).map((key) => [key, state[key]]));
    const begin = performance.now();
    const step = (now) => {
      const share = still.matches ? 1 : Math.min(1, Math.max(0, (now - begin) / 300));
      const eased = share * share * (3 - 2 * share);
      for (const key of Object.keys(goals)) state[key] = from[key] + (goals[key] - from[key]) * eased;
      lay(); fit(); redraw();
      if (share < 1) tween = requestAnimationFrame(step);
      else goals = {};
    };
    step(begin);
  }
  const orbit = (az, el) => {
    state.az = (state.az + az) % 360;
    state.el = Math.max(-90, Math.min(90, state.el + el));
    redraw();
  };
  const pan = (dx, dy) => {
    const metres = (2 * frame.half) / state.zoom / box.clientHeight;
    state.right -= dx * metres;
    state.up += dy * metres;
    redraw();
  };
  const zoom = (factor) => {
    state.zoom = Math.max(0.4, Math.min(40, state.zoom * factor));
    redraw();
  };
  const VIEWS = { front: [0, 0], side: [90, 0], top: [0, 90], iso: [35, 24] };
  const view = (name) => glide({ az: VIEWS[name][0], el: VIEWS[name][1], zoom: 1, right: 0, up: 0 });

  const fingers = new Map();
  let moved = 0;
  box.addEventListener("pointerdown", (event) => {
    box.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (fingers.size === 1) moved = 0;
  });
  box.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const dx = event.clientX - before[0], dy = event.clientY - before[1];
    moved += Math.abs(dx) + Math.abs(dy);
    if (fingers.size === 2) {
      const other = [...fingers].find(([id]) => id !== event.pointerId)[1];
      const gap = (x, y) => Math.hypot(x - other[0], y - other[1]) || 1;
      zoom(gap(event.clientX, event.clientY) / gap(...before));
      pan(dx / 2, dy / 2);
    } else if (event.shiftKey || event.buttons & 6) pan(dx, dy);
    else orbit(-0.4 * dx, 0.4 * dy);
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
  });
  const lift = (event) => {
    const click = event.type === "pointerup" && fingers.size === 1 && moved < 5;
    fingers.delete(event.pointerId);
    if (click) pick(event);
  };
  box.addEventListener("pointerup", lift);
  box.addEventListener("pointercancel", lift);
  box.addEventListener("contextmenu", (event) => event.preventDefault());
  box.addEventListener("wheel", (event) => {
    if (document.activeElement !== box && !event.ctrlKey) return; // the page scrolls until the model is chosen
    event.preventDefault();
    zoom(Math.exp(-0.0012 * event.deltaY * (event.deltaMode ? 16 : 1)));
  }, { passive: false });

  const KEYS = {
    ArrowLeft: [6, 0], ArrowRight: [-6, 0], ArrowUp: [0, 6], ArrowDown: [0, -6],
  };
  box.addEventListener("keydown", (event) => {
    const step = KEYS[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (step && event.shiftKey) pan(5 * step[0], 5 * step[1]);
    else if (step) orbit(...step);
    else if (event.key === "+" || event.key === "=") zoom(1.2);
    else if (event.key === "-") zoom(1 / 1.2);
    else if (event.key === "0" || event.key === "Home") view("iso");
    else if (event.key === "Escape") choose("");
    else return;
    event.preventDefault();
  });

  /* ------------------------------------------------------------ choosing a part */

  function choose(mark, piece) {
    state.mark = mark;
    $("part").value = mark;
    const part = parts[mark];
    const rows = part ? [part.name, part.size, part.material, say(words.each, part)] : [];
    $("info").replaceChildren();
    if (part) {
      const head = document.createElement("b");
      head.textContent = mark;
      const rest = rows.filter(Boolean).join(" · ");
      const own = piece && part.quantity !== "1" && !piece.name.startsWith("washer") ? ` (${piece.name})` : "";
      $("info").append(head, ` ${rest}${own}`);
    }
    dress(); lay(); redraw();
  }

  function pick(event) {
    const area = box.getBoundingClientRect();
    const x = ((event.clientX - area.left) / area.width) * 2 - 1, y = 1 - ((event.clientY - area.top) / area.height) * 2;
    const ray = new THREE.Raycaster();
    ray.setFromCamera({ x, y }, camera);
    const meshes = pieces.filter((piece) => piece.mesh.visible).map((piece) => piece.mesh);
    const hit = ray.intersectObjects(meshes, false).find(({ point }) => !cut.on || cut.plane.distanceToPoint(point) >= 0);
    const piece = hit && hit.object.userData.piece;
    if (!piece || piece.mark) return choose(piece ? piece.mark : "", piece);
    choose("");
    $("info").textContent = piece.role === "tube" ? words.tube : concreteAt(hit);
  }

  function concreteAt(hit) {
    const wall = hit.object.geometry.getAttribute("wall");
    const corners = [hit.face.a, hit.face.b, hit.face.c];
    const values = corners.map((i) => wall.getX(i));
    if (values.some((value) => value < 0)) return words.concrete;
    const local = hit.object.worldToLocal(hit.point.clone());
    const at = corners.map((i) => new THREE.Vector3().fromBufferAttribute(hit.object.geometry.getAttribute("position"), i));
    const share = THREE.Triangle.getBarycoord(local, ...at, new THREE.Vector3());
    const value = share.x * values[0] + share.y * values[1] + share.z * values[2];
    return say(words.wallHere, { value: value.toLocaleString(language, { maximumFractionDigits: 1 }) });
  }

  /* ------------------------------------------------------------ the controls */

  function control() {
    for (const button of document.querySelectorAll("[data-view]")) {
      button.addEventListener("click", () => view(button.dataset.view));
    }
    const on = (id, type, act) => $(id).addEventListener(type, act);
    for (const id of ["show-mould", "show-concrete", "show-gear"]) on(id, "change", changed);
    on("show-edges", "change", () => { dress(); redraw(); });
    on("apart", "input", () => {
      const before = state.apart;
      state.apart = $("apart").value / 100;
      if (before === 0 && state.apart > 0 && !state.walls) $("show-gear").checked = true;
      changed();
    });
    on("upright", "click", () => {
      const turned = $("upright").getAttribute("aria-pressed") !== "true";
      $("upright").setAttribute("aria-pressed", String(turned));
      if (turned && !state.walls) $("show-gear").checked = true;
      dress();
      glide({ turned: Number(turned) });
    });
    on("walls", "change", () => {
      state.walls = $("walls").checked;
      $("legend").hidden = !state.walls;
      $("show-mould").checked = !state.walls;
      if (state.walls) {
        $("show-concrete").checked = true;
        $("show-gear").checked = false;
        choose("");
      }
      changed();
    });
    for (const id of ["cut-axis", "cut-at", "cut-flip"]) {
      on(id, "input", () => { setCut(); redraw(); });
    }
    on("part", "input", () => {
      const wanted = $("part").value.trim().toUpperCase();
      if (parts[wanted] || wanted === "") choose(wanted);
    });
    on("all-parts", "click", () => choose(""));
    document.addEventListener("show-part", (event) => {
      if (state.walls) $("walls").click();
      choose(event.detail);
      fit();
    });
  }

  function resize() {
    renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    renderer.setSize(box.clientWidth, box.clientHeight, false);
    fit();
    redraw();
  }

  async function start() {
    renderer = new THREE.WebGLRenderer({ canvas: $("canvas"), antialias: devicePixelRatio < 2 });
    if (!renderer.capabilities.isWebGL2) throw new Error("no WebGL 2");
    renderer.setClearColor(0xffffff);
    readModel(await unpack($("model-data").textContent));
    const scene = new THREE.Scene();
    scene.add(root);
    camera = new THREE.OrthographicCamera();
    control();
    document.documentElement.classList.add("drawn");
    changed();
    resize();
    draw();
    renderer.getContext().readPixels(0, 0, 1, 1, 6408, 5121, new Uint8Array(4)); // waits until it is drawn
    window.__ready = performance.now();
    new ResizeObserver(resize).observe(box);
  }
  start().catch((error) => {
    document.documentElement.classList.remove("drawn");
    document.documentElement.classList.add("flat");
    $("no-model").hidden = false;
    $("no-model").textContent = `${words.tooOld} (${error.message})`;
  });
})();
