// The list of parts that `npm run sbom` writes, held to the schema that CycloneDX publishes.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import Ajv from 'ajv';
import addFormats, { type FormatName } from 'ajv-formats';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

interface Component {
  name: string;
  version: string;
  purl: string;
  hashes: { alg: string; content: string }[];
  licenses: object[];
}

const root = join(import.meta.dirname, '../..');
const folder = mkdtempSync(join(tmpdir(), 'nightproof-sbom-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const read = (file: string) => JSON.parse(readFileSync(file, 'utf8'));
const own = read(join(root, 'package.json')) as Record<string, Record<string, string>>;
let made: {
  metadata: { component: Component };
  components: Component[];
  dependencies: { ref: string; dependsOn: string[] }[];
};
beforeAll(() => {
  const file = join(folder, 'sbom.cdx.json');
  execFileSync(process.execPath, [join(root, '.ci/sbom.mjs'), file]);
  made = read(file);
});

/** As the library of CycloneDX brings them along. */
function schema(name: string): object {
  const found = createRequire(import.meta.url).resolve('@cyclonedx/cyclonedx-library/package.json');
  return read(join(dirname(found), `res/schema/${name}.SNAPSHOT.schema.json`));
}

describe('the list of parts', () => {
  it('is valid by the published schema of CycloneDX 1.6', () => {
    const ajv = new Ajv({ strict: false, allErrors: true });
    // ajv has no formats for other alphabets; ours are those of ASCII, which are narrower.
    const ascii = { 'iri-reference': 'uri-reference', 'idn-email': 'email' } as const;
    addFormats(ajv);
    for (const [name, narrower] of Object.entries(ascii))
      ajv.addFormat(name, addFormats.get(narrower as FormatName));
    for (const name of ['spdx', 'jsf-0.82'])
      ajv.addSchema(schema(name), `http://cyclonedx.org/schema/${name}.SNAPSHOT.schema.json`);
    const check = ajv.compile(schema('bom-1.6'));
    expect(check(made) ? [] : check.errors).toEqual([]);
    expect(check({ ...made, components: [{ name: 'without a type' }] })).toBe(false);
  });

  it('has everything that a running host needs, in the version that is installed, and nothing for development', () => {
    const parts = made.components.map(({ name, version }) => `${name}@${version}`);
    const needed = Object.entries(own.dependencies).map(([name, version]) => `${name}@${version}`);
    expect(needed.filter((part) => !parts.includes(part))).toEqual([]);
    expect(parts.filter((part) => /^(vitest|typescript|esbuild|playwright-core)@/.test(part))).toEqual([]);
    expect(made.metadata.component.name).toBe('nightproof');
  });

  it('has what npm lists, and nothing that no part of it needs', () => {
    const args = ['sbom', '--sbom-format=cyclonedx', '--omit=dev', '--package-lock-only'];
    const theirs = JSON.parse(execFileSync('npm', args, { cwd: root, encoding: 'utf8', stdio: 'pipe' }));
    const purls = made.components.map(({ purl }) => purl);
    expect((theirs as typeof made).components.filter(({ purl }) => !purls.includes(purl))).toEqual([]);
    const reached = new Set<string>();
    const walk = (ref: string): void => {
      if (reached.has(ref)) return;
      reached.add(ref);
      made.dependencies.find((one) => one.ref === ref)?.dependsOn.forEach(walk);
    };
    walk('root');
    expect(reached.size).toBe(made.components.length + 1);
  });

  it('says of each part where it comes from, what it must hash to, and under which licence it is', () => {
    for (const { purl, hashes, licenses } of made.components) {
      expect(purl).toMatch(/^pkg:npm\/[^@]+@[^@]+$/);
      expect(hashes).toEqual([{ alg: 'SHA-512', content: expect.stringMatching(/^[0-9a-f]{128}$/) }]);
      expect(licenses, purl).toHaveLength(1);
    }
  });
});
