import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { checkCommand } from '../../../host/cli/check';
import { formatMistake, loadSite, parseSite } from '../../../host/site/load';
import { runs } from '../../support/depth';
import { SMALL, WITNESS_KEY } from './small';

const DEMO = 'docs/examples/museum-of-tides.yaml';

describe('a site file without mistakes', () => {
  it('becomes a site with defaults filled in and adjacency made symmetric', () => {
    const result = parseSite(SMALL, 'mill.yaml');
    if ('mistakes' in result) throw new Error(result.mistakes.map(formatMistake).join('\n'));
    const { site } = result;
    expect(site.areas.map((area) => area.adjacent)).toEqual([['loft'], ['hall']]);
    expect(site.windows).toEqual([{ days: ['mon', 'tue'], from: 1380, to: 240 }]);
    expect(site.profile).toBe('en50172');
    expect(site.openingsAtOnce).toBe(4);
    expect(site.simulation.faults).toEqual([]);
    expect(site.areas.map(({ occupied, always, sleeping }) => [occupied, always, sleeping])).toEqual([
      [[], false, false],
      [[], false, false],
    ]);
    expect(site.circuits[0].luminaires.map((lamp) => lamp.serves)).toEqual([['hall'], ['loft']]);
    expect(site.engineerDays).toHaveLength(7);
    expect(site.location).toBeUndefined();
    expect(site.circuits[0]).toMatchObject({
      areas: ['hall', 'loft'],
      ratedSec: 10800,
      shared: false,
      emptySec: 0,
    });
    expect(site.circuits[0].luminaires[1]).toMatchObject({
      ratedSec: 3600,
      mainsMilliamps: 0,
      chemistry: 'NiMH',
      batteryFitted: '2024-02-29',
    });
  });

  it('names who signs the log book’s checkpoints and who stamps their time', () => {
    const more =
      `${SMALL}witnesses: [{ url: "http://192.168.1.9:8351/", key: ${WITNESS_KEY} }]\n` +
      'timeStamps: ["https://stamps.example/tsa"]\n';
    const result = parseSite(more, 'mill.yaml');
    if ('mistakes' in result) throw new Error(result.mistakes.map(formatMistake).join('\n'));
    expect(result.site.witnesses).toEqual([{ url: 'http://192.168.1.9:8351', key: WITNESS_KEY }]);
    expect(result.site.timeStamps).toEqual(['https://stamps.example/tsa']);
  });

  it('says who is where, and which areas a lamp lights', () => {
    const more = SMALL.replace('opening: []', 'opening: [{ days: [mon], from: "09:00", to: "17:00" }]')
      .replace('floor: ground, adj', 'floor: ground, occupied: [], adj')
      .replace('Loft, floor: ground', 'Loft, floor: ground, sleeping: true')
      .replace('area: hall, mode', 'area: hall, serves: [loft, hall, loft], mode')
      .replace('floors:', 'engineerDays: [mon]\nlocation: { latitude: -54.5, longitude: 0.25 }\nfloors:');
    const result = parseSite(more, 'mill.yaml');
    if ('mistakes' in result) throw new Error(result.mistakes.map(formatMistake).join('\n'));
    const { areas, circuits, location, engineerDays } = result.site;
    const opening = [{ days: ['mon'], from: 540, to: 1020 }];
    expect(areas.map(({ occupied, always, sleeping }) => [occupied, always, sleeping])).toEqual([
      [[], false, false],
      [opening, true, true],
    ]);
    expect(circuits[0].luminaires.map((lamp) => lamp.serves)).toEqual([['hall', 'loft'], ['loft']]);
    expect(location).toEqual({ latitude: -54.5, longitude: 0.25 });
    expect(engineerDays).toEqual(['mon']);
    const always = parseSite(more.replace('    ratedM', '    alwaysOccupied: true\n    ratedM'), 'mill.yaml');
    expect('site' in always && always.site.areas.map((area) => area.always)).toEqual([true, true]);
  });

  it('describes the demonstration building, with all four modes, faults and a shared circuit', () => {
    const result = loadSite(DEMO);
    if ('mistakes' in result) throw new Error(result.mistakes.map(formatMistake).join('\n'));
    const { site } = result;
    const luminaires = site.circuits.flatMap((circuit) => circuit.luminaires);
    expect(site.floors.length).toBeGreaterThanOrEqual(4);
    expect(site.circuits.length).toBe(13);
    expect(luminaires.length).toBe(104);
    expect(new Set(luminaires.map((l) => l.mode)).size).toBe(4);
    expect(new Set(luminaires.map((l) => l.chemistry)).size).toBe(3);
    expect(site.circuits.filter((circuit) => circuit.shared).map((circuit) => circuit.id)).toEqual(['top-b']);
    expect(new Set(site.simulation.faults.map((fault) => fault.kind)).size).toBe(7);
  });
});

describe('a site file that cannot be used', () => {
  it('is reported for text that is not YAML, with its line', () => {
    const first = (text: string) => {
      const result = parseSite(text, 'mill.yaml');
      return 'mistakes' in result ? result.mistakes[0] : undefined;
    };
    const open = first(SMALL.replace('name: The old mill', 'name: "The old mill'));
    expect(open?.message).toMatch(/^this is not valid YAML: /);
    expect(open?.line).toBeGreaterThanOrEqual(2);
    expect(first(SMALL.replace('name: The old mill', 'id: mill'))).toMatchObject({ line: 2 });
  });

  it.each([
    ['an empty file', ''],
    ['a list', '- a\n- b\n'],
    ['a word', 'hello'],
    ['an alias to nothing', 'id: *lost\n'],
  ])('is reported for %s', (_, text) => {
    const result = parseSite(text, 'x.yaml');
    expect('mistakes' in result && result.mistakes.length).toBeGreaterThan(0);
  });

  it('never throws, whatever the file holds', () => {
    const piece = fc.oneof(
      fc.string(),
      fc.constantFrom('\n- ', ': ', '&a ', '*a', '? ', '[', '{', '!!binary x', '\t'),
    );
    fc.assert(
      fc.property(piece, fc.nat(SMALL.length), fc.nat(30), (text, from, length) => {
        const result = parseSite(SMALL.slice(0, from) + text + SMALL.slice(from + length), 'mill.yaml');
        if ('site' in result) return;
        expect(result.mistakes.length).toBeGreaterThan(0);
        for (const mistake of result.mistakes) {
          expect(mistake.line).toBeGreaterThan(0);
          expect(formatMistake(mistake)).not.toContain('undefined');
        }
      }),
      { numRuns: runs(500) },
    );
  });

  it('makes the check command say so and return 1; without mistakes it counts and returns 0', async () => {
    const file = join(mkdtempSync(join(tmpdir(), 'nightproof-site-')), 'mill.yaml');
    const out = vi.spyOn(process.stdout, 'write').mockReturnValue(true);
    const err = vi.spyOn(process.stderr, 'write').mockReturnValue(true);
    writeFileSync(file, SMALL);
    const good = await checkCommand(file);
    writeFileSync(
      file,
      SMALL.replace('batteryMilliamps: 150', 'batteryMilliamps: 150, module: 12')
        .replace('mainsMilliamps: 120', 'mainsMilliamps: 120, module: 11')
        .replace('    luminaires:', '    register: 3\n    milliampsPerCount: 1\n    luminaires:'),
    );
    const onBus = await checkCommand(file);
    writeFileSync(file, SMALL.replace('id: one', 'id: ONE').replace('A-2', 'A 2'));
    const bad = await checkCommand(file);
    const [said, complained] = [out, err].map((spy) => spy.mock.calls.map((call) => String(call[0])));
    vi.restoreAllMocks();
    expect([good, onBus, bad]).toEqual([0, 0, 1]);
    const noMistakes = `${file}: 1 circuit, 2 luminaires: no mistakes\n`;
    const second = said.lastIndexOf(noMistakes);
    expect(said.indexOf(noMistakes)).toBe(0);
    expect(said[1]).toMatch(/^Circuit "one": about the same current on mains and on battery: A-1\. /);
    expect(said[2]).toMatch(/^The plan for a year from \w{3} \d+ \w{3,4} \d{4} has 1 conflict\.\n$/);
    expect(said[second + 1]).toBe(
      'Circuit "one": 2 luminaires read by current modules on a bus, which needs a board with a bus; luminaire, ' +
        'module/register: A-1 11/3, A-2 12/3\n',
    );
    expect(said.slice(second + 2)).toEqual(said.slice(1, second));
    expect(complained).toHaveLength(2);
    expect(complained[0]).toContain(`${file}:14: circuits[ONE].id: must be`);
  });
});
