// Writes what the browser loads into the folder given as the first argument: app.js and app.css from src/,
// the typeface with fonts.css, the icon, and the licences of everything that came from elsewhere.
// The folder is emptied first, so that nothing stale is served or packed.

import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, readdirSync, rmSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const out = resolve(process.argv[2] ?? join(here, "../src/kettleglass/web/static"));

function checkTypes() {
  execFileSync(process.execPath, [join(here, "node_modules/typescript/bin/tsc"), "--noEmit"], { cwd: here, stdio: "inherit" });
}

/** The packages whose files were bundled, from the paths that esbuild reports. */
function bundledPackages(inputs) {
  const names = Object.keys(inputs).map((path) => path.match(/node_modules\/((?:@[^/]+\/)?[^/]+)/)?.[1]);
  return [...new Set(names.filter((name) => name !== undefined))];
}

function copyLicence(name) {
  const folder = join(here, "node_modules", name);
  const file = readdirSync(folder).find((entry) => /^(licen[cs]e|ofl)/i.test(entry));
  if (file === undefined) throw new Error(`${name} comes without a licence file: find out its licence before using it.`);
  cpSync(join(folder, file), join(out, "licences", `${name.replace("/", "-")}.txt`));
}

checkTypes();
rmSync(out, { recursive: true, force: true });
mkdirSync(join(out, "licences"), { recursive: true });
const result = await build({
  absWorkingDir: here,
  entryPoints: ["fonts.css", "src/app.ts", "src/app.css"],
  entryNames: "[name]",
  assetNames: "fonts/[name]",
  outdir: out,
  bundle: true,
  minify: true,
  sourcemap: "linked",
  target: "es2022",
  format: "esm",
  loader: { ".woff2": "file", ".svg": "dataurl" },
  legalComments: "linked",
  metafile: true,
  logLevel: "warning",
});
bundledPackages(result.metafile.inputs).forEach(copyLicence);
cpSync(join(here, "favicon.svg"), join(out, "favicon.svg"));
