// Reads ICC profiles with a general colour engine that is not lcms2.
//
//   cd tools/reference && npm install
//   GREYWRIGHT_PROFILE_FOLDER=FOLDER profile_test --gtest_filter='Readers.*'   writes grey2.icc, ..., link4.icc
//   node profiles.mjs FOLDER                                    writes tests/reference/profiles.csv
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
const { Profile, Transform, eColourType, color } = createRequire(import.meta.url)("jscolorengine");

// FNV-1a, 32 bits: ties the rows to the bytes they were read from.
const checksum = (bytes) => bytes.reduce((sum, byte) => Math.imul(sum ^ byte, 16777619) >>> 0, 2166136261);

const transform = (dataFormat, ...chain) => {
  const made = new Transform({ dataFormat, roundOutput: false });
  made.create(...chain);
  return (colour) => made.transform(colour);
};
const gray = (grey) => ({ type: eColourType.Gray, G: grey * 255 });
const rgb = ([r, g, b]) => ({ type: eColourType.RGBf, Rf: r, Gf: g, Bf: b });

const steps = Array.from({ length: 21 }, (_, i) => i / 20);
const colours = [...steps.map((step) => [step, step, step]), [0.9, 0.5, 0.4], [0.2, 0.25, 0.6], [1, 0, 0]];
const kinds = { grey: 0, rgb: 1, link: 2 };
const rows = [];
const put = (...values) => rows.push(values.map((value) => +value.toFixed(7)).join(","));

for (const [name, kind] of Object.entries(kinds)) {
  for (const version of [2, 4]) {
    const bytes = readFileSync(`${process.argv[2]}/${name}${version}.icc`);
    const profile = new Profile();
    profile.loadBinary(new Uint8Array(bytes));
    if (!profile.loaded) throw new Error(profile.lastError.text);
    const head = [kind, version, checksum(bytes)];
    if (name === "link") {
      const through = transform("device", profile);
      for (const step of steps) put(...head, 0, 0, step, 0, 0, ...through([step]));
      continue;
    }
    for (const intent of [0, 1, 3]) {
      const forward = transform("objectFloat", profile, "*lab", intent);
      for (const values of name === "grey" ? steps.map((step) => [step, 0, 0]) : colours) {
        const { L, a, b } = forward(name === "grey" ? gray(values[0]) : rgb(values));
        put(...head, intent, 0, ...values, L, a, b);
      }
      const backward = transform("objectFloat", "*lab", profile, intent);
      for (const step of steps) {
        const { Rf, Gf, Bf } = backward(color.Lab(100 * step, 0, 0));
        put(...head, intent, 1, 100 * step, 0, 0, ...(name === "grey" ? [Gf, 0, 0] : [Rf, Gf, Bf]));
      }
    }
  }
}
writeFileSync(new URL("../../tests/reference/profiles.csv", import.meta.url), [
  "# Profiles as read by jscolorengine 1.6.1 (MPL-2.0). Kind: 0 grey, 1 RGB, 2 device link. Intent: 0 perceptual, 1 relative,",
  "# 3 absolute. Direction: 0 device to CIELAB (a link: to RGB), 1 CIELAB to device. Made by tools/reference/profiles.mjs",
  "kind,version,checksum,intent,direction,in1,in2,in3,out1,out2,out3", ...rows,
].join("\n") + "\n");
