// `report` as a user calls it, on the log book of a simulated house in which things fail. What it writes is read by
// other programs, and compared with the log book's own texts.
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { reportCommand } from '../../../host/cli/report';
import { readSite } from '../../../host/cli/siteFile';
import { keepSeededKeys, secretFileOf, seededKeys } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Entry } from '../../../host/logbook/logbook';
import { signCheckpoint } from '../../../host/proof/ed25519';
import { hostSigner } from '../../../host/proof/hostKey';
import { Rehearsal } from '../../../host/rehearse/rehearsal';
import { checkEvidence } from '../../../host/report/evidence/check';
import { runCommand } from '../../support/command';
import { all, type ReadPdf, readPdf } from '../report/readPdf';

const DAYS = 60;
const [FROM, TO] = ['2026-01-05', '2026-03-31'];
const NAME = 'Gästehaus Ψηλά Школа';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-report-'));
const db = join(folder, 'log.db');
const file = join(folder, 'house.yaml');
const inFolder = (name: string): string => join(folder, name);
const report = (...args: string[]) =>
  runCommand(['report', file, '--db', db, '--from', FROM, '--to', TO, ...args]);
/** What every report here asks for. */
const ASKED = () => ({ site: readSite(file), db, from: FROM, to: TO, paper: 'a4' as const });
const run = (program: string, ...args: string[]): string =>
  execFileSync(program, args, { encoding: 'utf8', maxBuffer: 1e8 });

function circuitLines(id: string, lamps: string[]): string[] {
  const lamp = (name: string, place: string) =>
    `      - { id: ${name}, place: "${place}", area: hall, mode: non-maintained, batteryMilliamps: 300, batteryFitted: 2025-03-01 }`;
  return [
    ...[`  - id: ${id}`, `    name: Circuit ${id}`, '    floor: ground', '    ratedMinutes: 60'],
    ...['    chemistry: NiMH', '    luminaires:'],
    ...lamps.map((name, i) => lamp(name, i === 0 ? '=Flur 東 🔥' : `Place ${i}`)),
  ];
}

const SITE = [
  ...['id: lodge', `name: ${NAME}`, 'timeZone: Europe/Berlin', 'responsible: The caretaker'],
  'testWindows: [{ days: [mon, tue, wed, thu, fri, sat, sun], from: "00:30", to: "05:30" }]',
  ...['opening: []', 'floors: [{ id: ground, name: Ground }]'],
  ...['areas: [{ id: hall, name: Hall, floor: ground }]', 'circuits:'],
  ...circuitLines('east', ['E-1', 'E-2', 'E-3']),
  ...circuitLines('west', ['W-1', 'W-2']),
  ...['simulation:', '  start: "2026-01-05T09:00"', '  historyDays: 0', '  faults:'],
  '    - { kind: dead lamp, luminaire: E-2, fromDay: 20 }',
  '    - { kind: aged battery, luminaire: W-1, fromDay: 0, lastsMinutes: 30 }',
  '    - { kind: relay stuck closed, circuit: west, fromDay: 25, repairedDay: 40 }',
].join('\n');

/** One luminaire in one test, as the log book's own texts say. */
interface Told {
  entry: string;
  luminaire: string;
  verdict: string;
  day: string;
  circuit: string;
}

const VERDICTS = ['open', 'pass', 'fail', 'void'];

async function toldBy(): Promise<Told[]> {
  const logbook = await openLogbook(db);
  const entries = await logbook.after(0, 10_000);
  await logbook.close();
  const lists = new Map<string, string[]>();
  const told: Told[] = [];
  for (const { entry, address, kind, body } of entries) {
    const record = JSON.parse(body);
    const [, circuit] = address.split('/');
    if (kind === 'listed') lists.set(`${circuit} ${record.revision}`, record.luminaires.split(' '));
    if (kind !== 'result') continue;
    const day = new Date((record.started || record.utc) * 1000).toLocaleDateString('sv', {
      timeZone: 'Europe/Berlin',
    });
    record.lamps.forEach(([verdict]: number[], i: number) => {
      const luminaire = lists.get(`${circuit} ${record.settings}`)![i];
      told.push({ entry: String(entry), luminaire, verdict: VERDICTS[verdict], day, circuit });
    });
  }
  return told;
}

let told: Told[];
let pdf: ReadPdf;

beforeAll(async () => {
  writeFileSync(file, SITE);
  keepSeededKeys(secretFileOf(db), 5);
  const logbook = await openLogbook(db);
  const options = { site: readSite(file), seed: 5, days: DAYS + 5, keys: seededKeys(5), logbook };
  await (await Rehearsal.start(options)).runDays(DAYS);
  const size = (await logbook.entries()) - 3;
  const text = signCheckpoint(hostSigner(seededKeys(5), 'lodge'), {
    size,
    root: await logbook.tree.root(size),
  });
  await logbook.checkpoints.add({ size, at: 1_775_000_000, text });
  await logbook.close();
  told = await toldBy();
  expect(report('--out', inFolder('a4.pdf'), '--csv', inFolder('results.csv'))).toMatchObject({
    code: 0,
    stderr: '',
  });
  pdf = await readPdf(inFolder('a4.pdf'));
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Rows of the schedule, from the tags. */
function scheduleRows(): string[][] {
  const rows = pdf.pages.flatMap((page) => all(page, 'TR'));
  const cells = rows.map(({ children }) => children.map(({ text }) => text));
  return cells.filter((row) => row.length === 7 && /^\d+$/.test(row[6]));
}

const SHOWN: Record<string, string> = { passed: 'pass', FAILED: 'fail', void: 'void' };

describe('the sheets', () => {
  it('list every result of the log book, and no other', () => {
    const shown = scheduleRows().flatMap((cells) =>
      cells[2].split(', ').map((luminaire) => `${cells[6]} ${luminaire} ${SHOWN[cells[4]]}`),
    );
    expect(told.map(({ verdict }) => verdict)).toEqual(expect.arrayContaining(['pass', 'fail', 'void']));
    expect(shown.sort()).toEqual(told.map((one) => `${one.entry} ${one.luminaire} ${one.verdict}`).sort());
  });

  it('give each test the day it has in the building', () => {
    const days = new Map(told.map(({ entry, day }) => [entry, day]));
    for (const [when, , , , , , entry] of scheduleRows()) {
      const day = new Date(`${when.replace(/^\w+ /, '').replace(/,.*$/, '')} UTC`).toISOString().slice(0, 10);
      expect(day).toBe(days.get(entry));
    }
  });

  it('say on the first that the building is not clean', () => {
    const [first] = pdf.pages;
    const status = all(first, 'P')[0].text;
    expect(status).toMatch(/^Not satisfactory: [1-9]\d* open deviations?, [1-9]\d* open defects?[.,]/);
    expect(all(first, 'TD').map(({ text }) => text)).toContain(`${NAME} (lodge)`);
  });

  it('have tags in order: one title, headings, tables with heads', () => {
    const [first] = pdf.pages;
    expect(all(first, 'H1')).toHaveLength(1);
    const headings = [...new Set(pdf.pages.flatMap((page) => all(page, 'H2').map(({ text }) => text)))];
    expect(headings.filter((text) => text !== '')).toEqual([
      ...['Summary', 'What this report cannot say', 'Signature', 'Deviations', 'Defects', 'Human checks'],
      ...['Repairs and other notes', 'Schedule of results', 'Luminaires', 'Rule profile en50172'],
      'The log book behind this report',
    ]);
    const tables = pdf.pages.flatMap((page) => all(page, 'Table'));
    for (const { children } of tables) expect(children[0].children[0].role).toBe('TH');
  });

  it('are numbered, and name the root of the log book', async () => {
    const pages = Number(/^Pages: +(\d+)/m.exec(run('pdfinfo', inFolder('a4.pdf')))![1]);
    expect(pdf.artifacts).toHaveLength(pages);
    const logbook = await openLogbook(db);
    const root = Buffer.from(await logbook.tree.root()).toString('base64');
    await logbook.close();
    pdf.artifacts.forEach((text, i) => {
      expect(text.replace(/ +/g, ' ')).toContain(`Page ${i + 1} of ${pages}`);
      expect(text).toContain(root);
    });
  });

  it('show every character, as a code if no font has it', () => {
    const text = run('pdftotext', '-layout', inFolder('a4.pdf'), '-');
    expect(text).toContain(NAME);
    const places = pdf.pages.flatMap((page) => all(page, 'TD').map((cell) => cell.text));
    expect(places).toContain('=Flur [U+6771] [U+1F525], Hall');
  });
});

describe('the file', () => {
  it('is a tagged PDF/A-3a on A4, or on letter paper', async () => {
    const info = run('pdfinfo', inFolder('a4.pdf'));
    expect(info).toMatch(/^Tagged: +yes$/m);
    expect(info).toContain(`Emergency lighting of ${NAME}, Mon 5 Jan 2026 to Tue 31 Mar 2026\n`);
    expect(pdf.language).toBe('en');
    expect(info).toMatch(/^Page size: +595\.28 x 841\.89 pts \(A4\)$/m);
    const meta = run('pdfinfo', '-meta', inFolder('a4.pdf'));
    expect(meta).toContain('<pdfaid:part>3</pdfaid:part>');
    expect(meta).toContain('<pdfaid:conformance>A</pdfaid:conformance>');
    await reportCommand({ ...ASKED(), out: inFolder('letter.pdf'), paper: 'letter' });
    expect(run('pdfinfo', inFolder('letter.pdf'))).toMatch(/^Page size: +612 x 792 pts \(letter\)$/m);
  });

  it('embeds every font it uses', () => {
    const fonts = run('pdffonts', inFolder('a4.pdf')).trim().split('\n').slice(2);
    expect(fonts.length).toBeGreaterThan(1);
    for (const line of fonts) expect(line).toMatch(/DejaVuSans.* yes yes yes /);
  });

  it('is never written over another one', async () => {
    const existing = { out: inFolder('a4.pdf'), csv: inFolder('results.csv') };
    for (const [option, name] of Object.entries(existing)) {
      const before = readFileSync(name);
      await expect(reportCommand({ ...ASKED(), [option]: name })).rejects.toThrow('already exists');
      expect(readFileSync(name).equals(before)).toBe(true);
    }
  });

  it('needs dates that exist, and a name', async () => {
    const out = inFolder('other.pdf');
    for (const [from, to] of [
      ['2026-02-30', TO],
      [FROM, '2026-01-04'],
      [FROM, '31.3.2026'],
    ])
      await expect(reportCommand({ ...ASKED(), out, from, to })).rejects.toThrow('must be a real date');
    await expect(reportCommand(ASKED())).rejects.toThrow('Name a file');
    const same = { out, csv: `${folder}/./other.pdf` };
    await expect(reportCommand({ ...ASKED(), ...same })).rejects.toThrow('name the same file');
    await expect(reportCommand({ ...ASKED(), out: inFolder('none/r.pdf') })).rejects.toThrow(
      'no such folder',
    );
    expect(existsSync(out)).toBe(false);
  });
});

it('the table has every result once, without formulas', () => {
  const text = readFileSync(inFolder('results.csv'), 'utf8');
  expect(text.startsWith('\uFEFFluminaire,')).toBe(true);
  const rows: Record<string, string>[] = parse(text, { bom: true, columns: true });
  expect(rows.map((row) => `${row.entry} ${row.luminaire} ${row.result}`).sort()).toEqual(
    told.map((one) => `${one.entry} ${one.luminaire} ${one.verdict}`).sort(),
  );
  expect(rows.find(({ luminaire }) => luminaire === 'E-1')!.place).toBe("'=Flur 東 🔥");
});

/** Root of a tree by the words of RFC 6962 (2013), section 2.1. */
function rootOf(leaves: Buffer[]): Buffer {
  const hash = (...parts: Buffer[]) => createHash('sha256').update(Buffer.concat(parts)).digest();
  if (leaves.length === 1) return hash(Buffer.of(0), leaves[0]);
  let half = 1;
  while (half * 2 < leaves.length) half *= 2;
  return hash(Buffer.of(1), rootOf(leaves.slice(0, half)), rootOf(leaves.slice(half)));
}

describe('the report on one luminaire', () => {
  it('has its tests as the log book tells them, on sheets and as a table', async () => {
    const [out, csv] = [inFolder('E-2.pdf'), inFolder('E-2.csv')];
    const made = report('--luminaire', 'e-2', '--out', out, '--csv', csv);
    expect(made).toMatchObject({ code: 0, stderr: '' });
    expect(made.stdout).toMatch(/^\S+E-2\.pdf and \S+E-2\.csv: E-2, .*Not satisfactory: .*1 open defect/);
    const own = told
      .filter(({ luminaire }) => luminaire === 'E-2')
      .map(({ entry, verdict }) => [entry, verdict]);
    expect(own.some(([, verdict]) => verdict === 'fail')).toBe(true);
    const rows: string[][] = parse(readFileSync(csv), { bom: true, from: 2 });
    expect(rows.map((row) => [row[11], row[9]])).toEqual(own);
    const { pages } = await readPdf(out);
    const lines = pages.flatMap((page) =>
      all(page, 'TR').map(({ children }) => children.map(({ text }) => text)),
    );
    const tests = lines.filter((cells) => cells.length === 8 && /^\d+$/.test(cells[7]));
    const verdicts: Record<string, string> = { passed: 'pass', FAILED: 'fail', void: 'void' };
    expect(tests.map((cells) => [cells[7], verdicts[cells[5]]])).toEqual(own);
    expect(run('pdfdetach', '-list', out)).toMatch(/^0 embedded files/);
  });

  it('is refused where the site file has no such luminaire', async () => {
    const asked = { ...ASKED(), luminaire: 'E-9', out: inFolder('E-9.pdf') };
    await expect(reportCommand(asked)).rejects.toThrow(
      /^The site has no luminaire "E-9"; did you mean "E-1", "E-2" or "E-\d"\?$/,
    );
    expect(existsSync(asked.out)).toBe(false);
  });
});

describe('the files inside the PDF', () => {
  const inside = (name: string): string => readFileSync(join(inFolder('inside'), name), 'utf8');
  let entries: Pick<Entry, 'entry' | 'address' | 'at' | 'body'>[];
  beforeAll(async () => {
    mkdirSync(inFolder('inside'));
    run('pdfdetach', '-saveall', '-o', inFolder('inside'), inFolder('a4.pdf'));
    const logbook = await openLogbook(db);
    const all = await logbook.after(0, 10_000);
    await logbook.close();
    entries = all.map(({ entry, address, at, body }) => ({ entry, address, at, body }));
  });

  it("are the log book's own texts, and the table", () => {
    const lines = inside('records.jsonl').trimEnd().split('\n');
    expect(lines.map((line) => JSON.parse(line))).toEqual(entries);
    expect(inside('results.csv')).toBe(readFileSync(inFolder('results.csv'), 'utf8'));
  });

  it('lead to the root on the sheets', () => {
    const leaves = entries.map(({ address, at, body }) => Buffer.from(`${address}\n${at}\n${body}`));
    const root = rootOf(leaves).toString('base64');
    expect(JSON.parse(inside('proof.json'))).toMatchObject({ size: entries.length, root });
    expect(pdf.artifacts[0]).toContain(root);
    const checked = runCommand([
      'logbook',
      'evidence',
      inFolder('inside'),
      '--noted',
      `${entries.length}:${root}`,
    ]);
    expect(checked).toMatchObject({ code: 0, stderr: '' });
    expect(checked.stdout).toContain(`${entries.length} records are as they stand`);
    expect(checked.stdout).toContain(`all records of lodge from ${FROM} to ${TO} is what the report says`);
    expect(checked.stdout).toContain(
      `the ${entries.length - 3} entries of the signed checkpoint (nightproof/lodge). 3 of the`,
    );
  });

  it('prove a shorter period with the hashes of the rest', async () => {
    const short = { out: inFolder('short.pdf'), from: '2026-02-01', to: '2026-02-14' };
    await reportCommand({ ...ASKED(), ...short });
    mkdirSync(inFolder('short'));
    run('pdfdetach', '-saveall', '-o', inFolder('short'), short.out);
    const records = readFileSync(join(inFolder('short'), 'records.jsonl'), 'utf8');
    const lines = records.trimEnd().split('\n');
    expect(lines.length).toBeGreaterThan(5);
    expect(lines.length).toBeLessThan(entries.length);
    const proof = readFileSync(join(inFolder('short'), 'proof.json'), 'utf8');
    const checkpoint = inside('checkpoint.txt');
    expect(await checkEvidence({ records, proof, checkpoint })).toMatchObject({ records: lines.length });
    const changed: [string, string, string][] = [
      ['an entry left out', `${lines.slice(1).join('\n')}\n`, 'root|hashes|Hashes'],
      ['a result turned', records.replace('\\"lamps\\":[[1,', '\\"lamps\\":[[2,'), 'do not lead'],
      [
        'a time moved',
        records.replace(/"at":(\d+)/, (_, at: string) => `"at":${Number(at) + 1}`),
        'do not lead',
      ],
      ['two in another order', `${[lines[1], lines[0], ...lines.slice(2)].join('\n')}\n`, 'out of order'],
      ['an end cut off', records.slice(0, -1), 'cut off'],
    ];
    for (const [what, text, why] of changed) {
      expect(text, what).not.toBe(records);
      await expect(checkEvidence({ records: text, proof, checkpoint }), what).rejects.toThrow(
        new RegExp(why),
      );
    }
    const other = checkpoint.replace(/^\d+$/m, (size) => String(Number(size) - 1));
    await expect(checkEvidence({ records, proof, checkpoint: other })).rejects.toThrow('does not begin with');
    const unsigned = checkpoint.replace(/— nightproof\/lodge (.)/, '— nightproof/other $1');
    await expect(checkEvidence({ records, proof, checkpoint: unsigned })).rejects.toThrow('signature');
  });
});
