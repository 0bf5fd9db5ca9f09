// Recomputes CIECAM16 and CAT16 with a general library.
//
//   cd tools/reference && npm install && node ciecam16.mjs   writes tests/reference/{ciecam16,cat16}.csv
//
// The library implements CAM16 (Li et al. 2017), which equals CIECAM16 (CIE 248:2022) as long as every cone
// response after adaptation lies between the ends of the linear extensions, 0.26 and 150: rows where
// one does not are left out.
import { writeFileSync } from "node:fs";
import { adapt } from "./node_modules/colorjs.io/src/CATs.js";
import { environment, toCam16, M } from "./node_modules/colorjs.io/src/spaces/cam16.js";

const whites = { D65: [95.047, 100, 108.883], D50: [96.422, 100, 82.521], A: [109.85, 100, 35.585] };
const samples = [
  [19.01, 20, 21.78], [57.06, 43.06, 31.96], [3.53, 6.56, 2.14], [19.01, 20, 21.78], [50, 52, 40],
  [12, 8, 30], [30, 45, 12], [25, 15, 9], [5, 5.2, 4.4], [80, 84, 70],
];
const settings = [
  ["D65", 318.31, 20, "average"], ["D65", 31.83, 20, "average"], ["D50", 64, 20, "average"],
  ["D50", 6, 20, "dim"], ["A", 12, 10, "dark"], ["A", 200, 40, "average"],
];

settings.push(["A", 3.2, 20, "average", true], ["D50", 130, 20, "average", true]);

const rows = [];
for (const [light, la, yb, surround, adapted = false] of settings) {
  const white = whites[light];
  const env = environment(white.map((v) => v / 100), la, yb, surround, adapted);
  for (const xyz of samples) {
    const cone = M.cat16.map((row, i) => (row[0] * xyz[0] + row[1] * xyz[1] + row[2] * xyz[2]) * env.dRgb[i]);
    if (Math.min(...cone) < 0.26 || Math.max(...cone) > 150) {
      console.log(`left out: ${xyz} under ${light}`);
      continue;
    }
    const { J, C, h, M: colourfulness, s, Q } = toCam16(xyz.map((v) => v / 100), env);
    const values = [J, C, h, colourfulness, s, Q].map((v) => v.toFixed(7));
    rows.push([...white, la, yb, ["average", "dim", "dark"].indexOf(surround), +adapted, ...xyz, ...values].join(","));
  }
}
writeFileSync(new URL("../../tests/reference/ciecam16.csv", import.meta.url), [
  "# CIECAM16 by colorjs.io 0.7.1 (MIT). Surround: 0 average, 1 dim, 2 dark. adapted: 1 = D is 1. Made by tools/reference/ciecam16.mjs",
  "Xw,Yw,Zw,La,Yb,surround,adapted,X,Y,Z,J,C,h,M,s,Q", ...rows,
].join("\n") + "\n");

const adapted = [];
for (const [from, to] of [["A", "D50"], ["D50", "A"], ["D65", "D50"]]) {
  const matrix = adapt(whites[from], whites[to], "CAT16");
  for (const xyz of samples.slice(0, 5)) {
    const result = matrix.map((row) => row.reduce((sum, value, i) => sum + value * xyz[i], 0).toFixed(7));
    adapted.push([...whites[from], ...whites[to], ...xyz, ...result].join(","));
  }
}
writeFileSync(new URL("../../tests/reference/cat16.csv", import.meta.url), [
  "# CAT16, complete adaptation, by colorjs.io 0.7.1 (MIT). Made by tools/reference/ciecam16.mjs",
  "X1,Y1,Z1,X2,Y2,Z2,X,Y,Z,Xa,Ya,Za", ...adapted,
].join("\n") + "\n");
