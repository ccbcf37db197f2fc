// Writes the list of all parts of others that a running host needs (CycloneDX 1.6, JSON), from package-lock.json alone:
// `npm run sbom`, or with another file as argument. By hand, because npm's own list with --omit=dev leaves out what
// packages for development need as well (npm 11.19).
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

const root = join(import.meta.dirname, '..');
const file = process.argv[2] ?? join(root, 'build/sbom.cdx.json');
const text = readFileSync(join(root, 'package-lock.json'), 'utf8');
const { packages } = JSON.parse(text);
/** Licences of packages that name none by its SPDX identifier in package.json: as their LICENSE files say. */
const UNSAID = { 'dejavu-fonts-ttf': 'Bitstream-Vera', 'png-js': 'MIT' };

const nameOf = (path) => path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length);
const purlOf = (path) =>
  `pkg:npm/${nameOf(path).replace('@', '%40')}@${encodeURIComponent(packages[path].version)}`;
const needed = Object.keys(packages).filter((path) => {
  const { dev, devOptional, link } = packages[path];
  return path !== '' && !dev && !devOptional && !link;
});

/** Where a package finds another, as Node looks for it: from its own folder upwards; '' if it is not there. */
function found(path, name) {
  for (let at = path; ; at = at.slice(0, Math.max(0, at.lastIndexOf('/node_modules/')))) {
    const here = `${at === '' ? '' : `${at}/`}node_modules/${name}`;
    if (needed.includes(here)) return here;
    if (at === '') return '';
  }
}

function refsOf(path) {
  const { dependencies, optionalDependencies, peerDependencies } = packages[path];
  const names = Object.keys({ ...dependencies, ...optionalDependencies, ...peerDependencies });
  return [...new Set(names.map((name) => found(path, name)).filter((at) => at !== ''))].sort();
}

function licence(path) {
  const id = UNSAID[nameOf(path)] ?? packages[path].license;
  if (id === undefined)
    throw new Error(`${nameOf(path)} names no licence; look it up and add it in .ci/sbom.mjs.`);
  return /[ (]/.test(id) ? { expression: id } : { license: { id } };
}

function component(path) {
  const { version, optional, integrity } = packages[path];
  const sha512 = Buffer.from(integrity.replace('sha512-', ''), 'base64').toString('hex');
  return {
    ...{
      type: 'library',
      'bom-ref': path,
      name: nameOf(path),
      version,
      scope: optional ? 'optional' : 'required',
    },
    ...{ hashes: [{ alg: 'SHA-512', content: sha512 }], licenses: [licence(path)], purl: purlOf(path) },
  };
}

const { name, version, license } = packages[''];
// The same lock file gives the same list: its number is made of it, and it carries no time.
const id = createHash('sha256').update(text).digest('hex');
const serial = [
  id.slice(0, 8),
  id.slice(8, 12),
  `5${id.slice(13, 16)}`,
  `8${id.slice(17, 20)}`,
  id.slice(20, 32),
];
const made = {
  $schema: 'http://cyclonedx.org/schema/bom-1.6.schema.json',
  ...{ bomFormat: 'CycloneDX', specVersion: '1.6', serialNumber: `urn:uuid:${serial.join('-')}`, version: 1 },
  metadata: {
    lifecycles: [{ phase: 'pre-build' }],
    component: {
      ...{ type: 'application', 'bom-ref': 'root', name, version },
      licenses: [{ license: { id: license } }],
    },
  },
  components: needed.map(component),
  dependencies: ['', ...needed].map((path) => ({ ref: path || 'root', dependsOn: refsOf(path) })),
};
mkdirSync(dirname(file), { recursive: true });
writeFileSync(file, `${JSON.stringify(made, undefined, 2)}\n`);
process.stdout.write(`${file}: ${needed.length} parts.\n`);
