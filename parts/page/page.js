"use strict";
(function () {
  const data = JSON.parse(document.getElementById("model").textContent);
  const canvas = document.getElementById("truck"), said = document.getElementById("said"), place = document.getElementById("place");
  const gl = canvas.getContext("webgl", {antialias: true, preserveDrawingBuffer: true});
  if (location.protocol.startsWith("http")) follow();
  if (!gl) { said.textContent = "This browser shows no 3-D; everything else on the page works."; return; }

  function shader(kind, text) { const s = gl.createShader(kind); gl.shaderSource(s, text); gl.compileShader(s); return s; }
  const program = gl.createProgram();
  gl.attachShader(program, shader(gl.VERTEX_SHADER, "attribute vec3 at;attribute vec3 out3;uniform mat4 view;uniform mat4 ride;varying vec3 n;void main(){gl_Position=view*ride*vec4(at,1.0);n=(ride*vec4(out3,0.0)).xyz;}"));
  gl.attachShader(program, shader(gl.FRAGMENT_SHADER, "precision mediump float;varying vec3 n;uniform vec3 colour;uniform vec3 light;uniform float flat1;void main(){float d=0.45+0.55*abs(dot(normalize(n),light));gl_FragColor=vec4(mix(colour*d,colour,flat1),1.0);}"));
  gl.linkProgram(program); gl.useProgram(program);
  const at = gl.getAttribLocation(program, "at"), out3 = gl.getAttribLocation(program, "out3");
  const uni = {}; for (const k of ["view", "ride", "colour", "light", "flat1"]) uni[k] = gl.getUniformLocation(program, k);

  const bodies = data.bodies.map((b, i) => {
    const idx = b.t, pos = b.p, n = idx.length, v = new Float32Array(n * 6);
    for (let k = 0; k < n; k += 3) {
      const a = idx[k] * 3, c = idx[k + 1] * 3, d = idx[k + 2] * 3;
      const ux = pos[c] - pos[a], uy = pos[c + 1] - pos[a + 1], uz = pos[c + 2] - pos[a + 2];
      const wx = pos[d] - pos[a], wy = pos[d + 1] - pos[a + 1], wz = pos[d + 2] - pos[a + 2];
      let x = uy * wz - uz * wy, y = uz * wx - ux * wz, z = ux * wy - uy * wx; const l = Math.hypot(x, y, z) || 1; x /= l; y /= l; z /= l;
      [a, c, d].forEach((s, j) => { const o = (k + j) * 6; v[o] = pos[s] / 10; v[o + 1] = pos[s + 1] / 10; v[o + 2] = pos[s + 2] / 10; v[o + 3] = x; v[o + 4] = y; v[o + 5] = z; });
    }
    const buffer = gl.createBuffer(); gl.bindBuffer(gl.ARRAY_BUFFER, buffer); gl.bufferData(gl.ARRAY_BUFFER, v, gl.STATIC_DRAW);
    return {id: b.id, title: b.n, called: b.c, group: b.g, kind: b.k, at: pos, buffer, count: n, hidden: false, pick: [(i + 1) & 255, (i + 1) >> 8 & 255, 0].map(x => x / 255)};
  });
  const colours = {made: [0.44, 0.52, 0.38], bought: [0.47, 0.47, 0.5], truck: [0.8, 0.79, 0.76], bad: [0.8, 0.15, 0.15]};
  let turn = -0.95, tilt = 0.45, zoom = 1, shift = [0, 0], position = 0, chosen = -1, alone = false;

  function mul(a, b) { const o = new Float32Array(16); for (let c = 0; c < 4; c++) for (let r = 0; r < 4; r++) { let s = 0; for (let k = 0; k < 4; k++) s += a[k * 4 + r] * b[c * 4 + k]; o[c * 4 + r] = s; } return o; }
  function shown(i) { return !bodies[i].hidden && !(alone && chosen >= 0 && i !== chosen); }
  // Right, up, away from the eye: right-handed as the truck is, else left parts look like right ones.
  // The scale follows what is in sight, so that it fills the canvas from every side.
  function camera(w, h) {
    const c = Math.cos(turn), s = Math.sin(turn), ct = Math.cos(tilt), st = Math.sin(tilt);
    const axes = [[-c, -s, 0], [s * st, -c * st, ct], [s * ct, -c * ct, -st]], low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    bodies.forEach((b, i) => {
      if (!shown(i)) return;
      const m = ride(b.group), along = axes.map(a => [0, 4, 8, 12].map(q => a[0] * m[q] + a[1] * m[q + 1] + a[2] * m[q + 2]));
      for (let k = 0; k < b.at.length; k += 3) for (let r = 0; r < 3; r++) { const l = along[r], x = (l[0] * b.at[k] + l[1] * b.at[k + 1] + l[2] * b.at[k + 2]) / 10 + l[3]; if (x < low[r]) low[r] = x; if (x > high[r]) high[r] = x; }
    });
    const o = new Float32Array(16); o[15] = 1; if (low[0] > high[0]) return o;
    const k = 0.94 * zoom * Math.min(w / (high[0] - low[0] + 1), h / (high[1] - low[1] + 1)), scale = [2 * k / w, 2 * k / h, 1.9 / (high[2] - low[2] + 1)];
    for (let r = 0; r < 3; r++) { for (let q = 0; q < 3; q++) o[q * 4 + r] = axes[r][q] * scale[r]; o[12 + r] = -(low[r] + high[r]) / 2 * scale[r]; }
    o[12] += shift[0]; o[13] += shift[1]; return o;
  }
  function ride(group) { const g = data.rides[group], o = new Float32Array(16), m = g ? g[position] : null; if (!m) { o[0] = o[5] = o[10] = o[15] = 1; return o; } for (let r = 0; r < 3; r++) { for (let q = 0; q < 3; q++) o[q * 4 + r] = m[r * 3 + q]; o[12 + r] = m[9 + r]; } o[15] = 1; return o; }
  // size: of the picture on paper, else the canvas as it stands
  function draw(picking, size) {
    const d = Math.min(2, window.devicePixelRatio || 1), [w, h] = size || [Math.round(canvas.clientWidth * d), Math.round(canvas.clientHeight * d)];
    if (!w || !h) return;
    if (canvas.width !== w || canvas.height !== h) { canvas.width = w; canvas.height = h; }
    const back = picking ? [0, 0, 0] : size ? [1, 1, 1] : (getComputedStyle(canvas).backgroundColor.match(/[\d.]+/g) || [255, 255, 255]).slice(0, 3).map(x => x / 255);
    gl.viewport(0, 0, w, h); gl.clearColor(...back, 1); gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT); gl.enable(gl.DEPTH_TEST);
    gl.uniformMatrix4fv(uni.view, false, camera(w, h)); gl.uniform3f(uni.light, 0.4 * Math.cos(turn) + 0.3 * Math.sin(turn), 0.4 * Math.sin(turn) - 0.3 * Math.cos(turn), 0.8); gl.uniform1f(uni.flat1, picking ? 1 : 0);
    bodies.forEach((b, i) => {
      if (!shown(i)) return;
      gl.bindBuffer(gl.ARRAY_BUFFER, b.buffer); gl.enableVertexAttribArray(at); gl.enableVertexAttribArray(out3);
      gl.vertexAttribPointer(at, 3, gl.FLOAT, false, 24, 0); gl.vertexAttribPointer(out3, 3, gl.FLOAT, false, 24, 12);
      gl.uniformMatrix4fv(uni.ride, false, ride(b.group)); gl.uniform3fv(uni.colour, picking ? b.pick : i === chosen ? [0.62, 0.32, 0.24] : colours[b.kind]);
      gl.drawArrays(gl.TRIANGLES, 0, b.count);
    });
  }
  function tell() { const b = bodies[chosen]; said.textContent = b ? b.called + "  " + b.title : "Drag to turn, pinch or wheel to zoom, tap a part for its name. Keys: arrows turn, + and - zoom, space next part, backspace out of sight, enter alone, home all again."; }
  function pick(x, y) {
    draw(true); const r = canvas.getBoundingClientRect(), px = new Uint8Array(4);
    gl.readPixels(Math.round((x - r.left) / r.width * canvas.width), Math.round((1 - (y - r.top) / r.height) * canvas.height), 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, px);
    chosen = px[0] + 256 * px[1] - 1; tell(); draw(false);
  }
  const fingers = new Map(); let moved = 0, gap = 0;
  canvas.addEventListener("pointerdown", e => { canvas.setPointerCapture(e.pointerId); fingers.set(e.pointerId, [e.clientX, e.clientY]); moved = 0; gap = 0; });
  canvas.addEventListener("pointermove", e => {
    if (!fingers.has(e.pointerId)) return; const was = fingers.get(e.pointerId), dx = e.clientX - was[0], dy = e.clientY - was[1]; fingers.set(e.pointerId, [e.clientX, e.clientY]); moved += Math.abs(dx) + Math.abs(dy);
    if (fingers.size === 2) { const f = [...fingers.values()], g = Math.hypot(f[0][0] - f[1][0], f[0][1] - f[1][1]); if (gap) zoom = Math.min(12, Math.max(0.4, zoom * g / gap)); gap = g; shift[0] += dx / canvas.clientWidth; shift[1] -= dy / canvas.clientHeight; }
    else if (e.shiftKey) { shift[0] += 2 * dx / canvas.clientWidth; shift[1] -= 2 * dy / canvas.clientHeight; } else { turn -= dx * 0.008; tilt = Math.min(1.55, Math.max(-1.55, tilt + dy * 0.008)); } draw(false);
  });
  ["pointerup", "pointercancel"].forEach(k => canvas.addEventListener(k, e => { if (fingers.size === 1 && moved < 6 && k === "pointerup") pick(e.clientX, e.clientY); fingers.delete(e.pointerId); }));
  canvas.addEventListener("wheel", e => { e.preventDefault(); zoom = Math.min(12, Math.max(0.4, zoom * Math.exp(-e.deltaY * 0.001))); draw(false); }, {passive: false});
  function act(word) {
    if (word === "hide" && chosen >= 0) { bodies[chosen].hidden = true; chosen = -1; } else if (word === "alone") alone = !alone; else if (word === "all") { bodies.forEach(b => { b.hidden = false; }); alone = false; chosen = -1; zoom = 1; shift = [0, 0]; }
    else if (word === "next") { do chosen = (chosen + 1) % bodies.length; while (bodies[chosen].hidden); } else if (word === "truck") { const any = bodies.some(b => b.kind === "truck" && !b.hidden); bodies.forEach(b => { if (b.kind === "truck") b.hidden = any; }); }
    else if (word === "ahead") { turn = -Math.PI / 2; tilt = 0; } else if (word === "left") { turn = 0; tilt = 0; } else if (word === "above") { turn = Math.PI; tilt = 1.55; }
    tell(); draw(false);
  }
  canvas.addEventListener("keydown", e => {
    const k = {ArrowLeft: () => { turn += 0.1; }, ArrowRight: () => { turn -= 0.1; }, ArrowUp: () => { tilt = Math.min(1.55, tilt + 0.1); }, ArrowDown: () => { tilt = Math.max(-1.55, tilt - 0.1); }, "+": () => { zoom *= 1.15; }, "-": () => { zoom /= 1.15; }, " ": () => act("next"), Backspace: () => act("hide"), Enter: () => act("alone"), Home: () => act("all")}[e.key.length === 1 ? e.key.toLowerCase() : e.key];
    if (k) { e.preventDefault(); k(); draw(false); }
  });
  document.querySelectorAll("[data-act]").forEach(b => b.addEventListener("click", () => act(b.dataset.act)));
  document.querySelectorAll("[data-show]").forEach(b => b.addEventListener("click", () => { chosen = bodies.findIndex(x => x.id === b.dataset.show); if (chosen >= 0) bodies[chosen].hidden = false; document.body.classList.add("seeing"); tell(); draw(false); canvas.scrollIntoView({block: "center"}); canvas.focus({preventScroll: true}); }));
  if (place) place.addEventListener("change", () => { position = Number(place.value); draw(false); });
  new ResizeObserver(() => draw(false)).observe(canvas); matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => draw(false));
  // Paper does not take a canvas of the graphics card: it gets a copy.
  window.addEventListener("beforeprint", () => {
    const paper = document.getElementById("paper"); draw(false, [1600, 1000]); paper.width = canvas.width; paper.height = canvas.height; paper.getContext("2d").drawImage(canvas, 0, 0); draw(false);
  });
  tell(); draw(false);

  function follow() { let was = ""; setInterval(() => fetch("manifest.json", {cache: "no-store"}).then(r => r.text()).then(t => { if (was && t !== was) location.reload(); was = t; }).catch(() => {}), 1500); }
})();
