// Holds growth, clear width and sweep of several hundred leaves against
// polygons that are turned and cut: polygon-clipping.
//
//   node swept.mjs DOORS.json
import { readFileSync } from "node:fs";
import clip from "polygon-clipping";

const doors = JSON.parse(readFileSync(process.argv[2], "utf8"));
const step = 0.25; // degrees
const far = 5000;
const hair = 0.001, shy = 0.02; // mm: free by a hair, struck when it is this much less
let turns = 0, faults = [];

// leaf is the closed leaf seen from above, the axis at the origin, its corners
// cut off by the chamfer.
function leaf({ Thickness: t, Setback: s, Width: w, Offset: e, Chamfer: c }) {
  const [x0, x1, y0, y1] = [-s, w - s, -(t / 2 - e), t / 2 + e];
  if (c === 0) return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
  return [[x0 + c, y0], [x1 - c, y0], [x1, y0 + c], [x1, y1 - c], [x1 - c, y1], [x0 + c, y1], [x0, y1 - c], [x0, y0 + c]];
}
const turn = (points, degrees) => {
  const a = degrees * Math.PI / 180, [sin, cos] = [Math.sin(a), Math.cos(a)];
  return points.map(([x, y]) => [x * cos - y * sin, x * sin + y * cos]);
};
const box = (x0, x1) => [[[x0, -far], [x1, -far], [x1, far], [x0, far]]];
const meets = (points, other) => clip.intersection([points], other).length > 0;

// angles are those that a leaf passes, to both sides.
const angles = (to) => {
  const all = [];
  for (let a = 0; a < to; a += step) all.push(a);
  all.push(to);
  return all.flatMap((a) => [a, -a]);
};

for (const d of doors) {
  const shape = leaf(d), name = JSON.stringify(d);
  // The heel jamb stands at -s - gap, the leading jamb at w - s + gap.
  const heel = (gap) => box(-far, -d.Setback - gap), lead = (gap) => box(d.Width - d.Setback + gap, far);
  // What else comes round between two angles is less than shy: r·step²/8.
  let struckHeel = d.HeelGrowth < shy, struckLead = d.LeadGrowth < shy;
  for (const a of angles(d.Angle)) {
    const turned = turn(shape, a);
    turns++;
    if (meets(turned, heel(d.HeelGrowth + hair))) { faults.push(`at ${a}° the heel edge strikes: ${name}`); break; }
    if (meets(turned, lead(d.LeadGrowth + hair))) { faults.push(`at ${a}° the leading edge strikes: ${name}`); break; }
    struckHeel ||= meets(turned, heel(d.HeelGrowth - shy));
    struckLead ||= meets(turned, lead(d.LeadGrowth - shy));
  }
  if (!struckHeel || !struckLead) faults.push(`a smaller gap would do: ${name}`);

  // Open, the leaf and its handle leave the clear width before the stop.
  const square = leaf({ ...d, Chamfer: 0 }), open = turn(square, d.Angle).map(([x, y]) => [x + d.Handle, y]);
  const stop = d.Opening - d.Setback - d.GapHeel - d.StopWidth;
  if (meets(open, box(stop - d.Clear + hair, stop))) faults.push(`the open leaf stands in its clear width: ${name}`);
  if (!meets(open, box(stop - d.Clear - shy, stop))) faults.push(`more is left clear: ${name}`);

  // Nothing of the leaf gets out of both sweeps.
  const disc = (r) => [[...Array(720).keys()].map((i) => [r / Math.cos(Math.PI / 720) * Math.cos(i * Math.PI / 360), r / Math.cos(Math.PI / 720) * Math.sin(i * Math.PI / 360)])];
  if (clip.difference([square], disc(d.LeadRadius + hair)).length > 0) faults.push(`the leaf gets out of its sweep: ${name}`);
  if (clip.difference([square.filter(([x]) => x < 0).concat([[0, square[2][1]], [0, square[0][1]]])], disc(d.HeelRadius + hair)).length > 0) faults.push(`the heel gets out of its sweep: ${name}`);
}
if (doors.length < 300) faults.push(`only ${doors.length} doors`);
if (faults.length > 0) { console.error(faults.slice(0, 20).join("\n")); process.exit(1); }
console.log(`swept: ${doors.length} leaves in ${turns} places turn in their gaps and in no smaller ones, and leave their clear widths`);
