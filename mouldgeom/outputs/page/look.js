/* How surfaces, lines and cut faces of the model look: light, colour of the thickness, the cut. */
"use strict";
/* Materials by kind, colour and faintness; ``cut.on`` says whether they are made for a model that is cut open. */
function makeLook(cut) {
  const RAMP = pageData.ramp.map((c) => new THREE.Color(...c));
  const INK = new THREE.Color(0.1, 0.11, 0.13);
  const materials = new Map();
  const shared = {
    cut: { value: new THREE.Vector4() },
    walls: { value: false },
    ramp: { value: RAMP },
    scale: { value: new THREE.Vector2(...pageData.scale) },
  };

  const VERTEX = `
    attribute float wall;
    varying vec3 vPlace; varying vec3 vNormal; varying float vWall;
    uniform float nearer;
    void main() {
      vec4 place = modelViewMatrix * vec4(position, 1.0);
      vPlace = place.xyz; vNormal = normalMatrix * normal; vWall = wall;
      gl_Position = projectionMatrix * place;
      gl_Position.z -= nearer * gl_Position.w;
    }`;
  /* Behind a cut the inside of a closed surface is seen: painted flat, it stands for the cut face. */
  const FRAGMENT = `
    varying vec3 vPlace; varying vec3 vNormal; varying float vWall;
    uniform vec3 colour; uniform float alpha; uniform bool concrete; uniform bool line; uniform bool cap;
    uniform vec4 cut; uniform bool walls; uniform vec3 ramp[${RAMP.length}]; uniform vec2 scale;
    vec3 rampAt(float share) {
      float at = clamp(share, 0.0, 1.0) * float(${RAMP.length - 1});
      int i = int(min(floor(at), float(${RAMP.length - 2})));
      return mix(ramp[i], ramp[i + 1], at - float(i));
    }
    void main() {
      #ifdef CUT
        if (!cap && dot(cut.xyz, vPlace) + cut.w < 0.0) discard;
      #endif
      if (line) { gl_FragColor = vec4(colour, alpha); return; }
      vec3 base = concrete && walls && vWall >= 0.0 ? rampAt((vWall - scale.x) / (scale.y - scale.x)) : colour;
      if (cap || !gl_FrontFacing) {
        float stripe = mod(gl_FragCoord.x + gl_FragCoord.y, 9.0) < 1.5 ? 0.62 : 0.84;
        gl_FragColor = vec4(colour * (concrete ? stripe : 0.5), alpha);
        return;
      }
      vec3 n = normalize(vNormal);
      float light = 0.58 + 0.42 * max(0.0, dot(n, normalize(vec3(-0.35, 0.60, 0.72))))
        + 0.18 * max(0.0, dot(n, normalize(vec3(0.60, 0.10, 0.80))));
      gl_FragColor = vec4(min(base * light, 1.0), alpha);
    }`;

  /* Counting back faces up and front faces down leaves a one where the plane lies inside of a body: there the cap is
     painted, at its own depth.  Small fasteners do without: their inside stands for the cut. */
  const count = (side, step) => ({
    side, colorWrite: false, depthWrite: false, depthTest: false, stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc,
    stencilFail: step, stencilZFail: step, stencilZPass: step,
  });
  const filled = {
    stencilWrite: true, stencilFunc: THREE.NotEqualStencilFunc, stencilRef: 0, stencilFail: THREE.ReplaceStencilOp,
    stencilZFail: THREE.ReplaceStencilOp, stencilZPass: THREE.ReplaceStencilOp,
  };
  const STENCIL = {
    back: count(THREE.BackSide, THREE.IncrementWrapStencilOp),
    front: count(THREE.FrontSide, THREE.DecrementWrapStencilOp),
    cap: filled,
    hatched: filled,
  };

  function material(kind, colour, faint) {
    const key = `${kind}|${colour.getHexString()}|${faint}`;
    if (materials.has(key)) return materials.get(key);
    const line = kind === "line";
    const made = new THREE.ShaderMaterial({
      vertexShader: VERTEX,
      fragmentShader: FRAGMENT,
      uniforms: {
        ...shared,
        colour: { value: colour },
        alpha: { value: faint ? (line ? 0.16 : 0.09) : line ? 0.9 : 1 },
        concrete: { value: kind === "concrete" || kind === "hatched" },
        line: { value: line },
        cap: { value: kind === "cap" || kind === "hatched" },
        nearer: { value: line ? 0.0008 : 0 },
      },
      defines: cut.on ? { CUT: 1 } : {},
      side: faint ? THREE.FrontSide : THREE.DoubleSide,
      transparent: faint,
      depthWrite: !faint,
      ...STENCIL[kind],
    });
    materials.set(key, made);
    return made;
  }

  return { material, materials, shared, INK };
}
