// Checks what is sent to Slack against Slack's own types: the screens in a
// folder, {"kind": "message" | "modal" | "home", "payload": {…}} a file, and
// the app manifest, if one is named. Types know shapes and words, no lengths.
//
//   node types.mjs FOLDER [MANIFEST]
import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { parse } from "yaml";

const [folder, manifest] = process.argv.slice(2);
const here = dirname(fileURLToPath(import.meta.url));
const lines = [
  'import type { Button, HomeView, KnownBlock, ModalView } from "@slack/types";',
  'import type { AppsManifestValidateArguments, ChatPostMessageArguments } from "@slack/web-api";',
  // The check can fail: this one does.
  '// @ts-expect-error', 'export const control: KnownBlock = {"type":"header","text":{"type":"mrkdwn","text":"x"}};',
];
const where = []; // of each line, what stands there
const add = (what, type, value) => {
  where[lines.length] = what;
  lines.push(`export const c${lines.length}: ${type} = ${JSON.stringify(value)};`);
};
// The types are older than a cell with a button: its parts are held against
// theirs, and what stands in for it takes its place.
const older = (what, cell) => {
  if (cell.type !== "action_cell") return cell;
  add(`${what}: button`, "Button", cell.element);
  return cell.fallback;
};
const files = readdirSync(folder).filter((f) => f.endsWith(".json")).sort();
if (files.length === 0) throw new Error(`no screens in ${folder}`);
let blocks = 0;
for (const file of files) {
  const { kind, payload } = JSON.parse(readFileSync(join(folder, file), "utf8"));
  const all = payload.blocks ?? [];
  all.forEach((block, i) => { // one by one, or errors name no block
    if (block.type === "data_table") block.rows = block.rows.map((row) => row.map((cell) => older(`${file}: block ${i}`, cell)));
    add(`${file}: block ${i}`, "KnownBlock", block);
  });
  blocks += all.length;
  switch (kind) {
    case "message":
      add(file, "ChatPostMessageArguments", { channel: "C0", text: "", ...payload, ...(payload.blocks && { blocks: [] }) });
      break;
    case "modal": add(file, "ModalView", { ...payload, blocks: [] }); break;
    case "home": add(file, "HomeView", { ...payload, blocks: [] }); break;
    default: throw new Error(`${file}: kind ${kind}`);
  }
}
if (manifest) add(manifest, 'AppsManifestValidateArguments["manifest"]', parse(readFileSync(manifest, "utf8")));

const dir = mkdtempSync(join(here, ".types-"));
let failed = "";
try {
  writeFileSync(join(dir, "check.ts"), lines.join("\n") + "\n");
  writeFileSync(join(dir, "tsconfig.json"), JSON.stringify({ compilerOptions: { strict: true, noEmit: true, skipLibCheck: true,
    module: "nodenext", moduleResolution: "nodenext", target: "es2022", types: [] }, files: ["check.ts"] }));
  execFileSync(process.execPath, [join(here, "node_modules/typescript/lib/tsc.js"), "-p", dir], { encoding: "utf8", cwd: dir });
} catch (e) {
  failed = e.stdout || String(e);
} finally {
  rmSync(dir, { recursive: true });
}
if (failed) {
  console.error(failed.replace(/^check\.ts\((\d+),\d+\)/gm, (all, line) => where[line - 1] ?? all));
  process.exit(1);
}
console.log(`${files.length} screens with ${blocks} blocks${manifest ? " and the manifest" : ""} have Slack's types`);
