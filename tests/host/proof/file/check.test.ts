import { createHash } from 'node:crypto';
import { beforeAll, describe, expect, it } from 'vitest';
import { sha256Raw } from '../../../../host/keys';
import { leafText } from '../../../../host/logbook/tree/leaf';
import { leafHash, verifyInclusion } from '../../../../host/logbook/tree/merkle';
import { utf8 } from '../../../../host/proof/bytes';
import type { Checked } from '../../../../host/proof/file/check';
import { compareNoted } from '../../../../host/proof/file/noted';
import { checkWords } from '../../../../host/proof/file/page/words';
import { otherHashes, treeOf } from '../../../../host/proof/file/parts';
import { storyOf } from '../../../../host/proof/file/story';
import { auditPath, sampleLeaves, treeHash } from '../rfc6962';
import { bookOf, checkText, linkOf, notesOf, proofOf, SIGNED_AT, sampleRecords } from './sample';

const records = sampleRecords();

describe('hashes beside some entries', () => {
  it('make up the root of every small tree with any of its entries, and prove each alone', async () => {
    for (let size = 1; size <= 12; size++) {
      const leaves = sampleLeaves(size);
      const inclusion = async (entry: number) => auditPath(entry - 1, leaves);
      for (let chosen = 1; chosen < 2 ** size; chosen += size < 7 ? 1 : 97) {
        const entries = leaves.flatMap((_, i) => ((chosen >> i) & 1 ? [i + 1] : []));
        const hashes = await otherHashes(size, entries, inclusion);
        const own = entries.map((entry) => leafHash(sha256Raw, leaves[entry - 1]));
        const tree = await treeOf(sha256Raw, size, entries, own, hashes);
        expect(tree.root).toEqual(treeHash(leaves));
        entries.forEach((entry, place) => {
          expect(tree.inclusion(place)).toEqual(auditPath(entry - 1, leaves));
        });
        const withMore = treeOf(sha256Raw, size, entries, own, [...hashes, own[0]]);
        await expect(withMore).rejects.toThrow(/more hashes/);
        if (hashes.length === 0) continue;
        await expect(treeOf(sha256Raw, size, entries, own, hashes.slice(1))).rejects.toThrow(/missing/);
      }
    }
  });

  it('do not fit an entry at another place, or beyond the size', async () => {
    const leaves = sampleLeaves(13);
    const own = [4, 9].map((entry) => leafHash(sha256Raw, leaves[entry - 1]));
    const hashes = await otherHashes(13, [4, 9], async (entry) => auditPath(entry - 1, leaves));
    const rootAt = (entries: number[]) =>
      treeOf(sha256Raw, 13, entries, own, hashes).then(
        ({ root }) => root,
        () => undefined,
      );
    for (let first = 1; first < 14; first++)
      for (let second = first + 1; second <= 14; second++) {
        const isSame = first === 4 && second === 9;
        expect(
          Buffer.from((await rootAt([first, second])) ?? []).equals(treeHash(leaves)),
          `${first} ${second}`,
        ).toBe(isSame);
      }
  });
});

describe('a proof', () => {
  let text: string;
  let checked: Checked;
  beforeAll(async () => {
    text = await proofOf({ size: records.length, noted: 7 });
    checked = await checkText(text);
  });

  it('holds every record and note of the circuit, word for word, and the lists before', () => {
    const own = records.filter(({ address }) => address.startsWith('demo/a'));
    expect(checked.entries.map(({ body }) => body)).toEqual(own.map(({ body }) => body));
    expect(checked.witnesses).toEqual([expect.objectContaining({ timeSec: SIGNED_AT })]);
    expect(checked.earlier?.size).toBe(7);
    expect(checked.about.building).toBe('Museum <of> Tides');
  });

  it('gives for each record a proof that stands alone', () => {
    checked.entries.forEach((entry, place) => {
      const leaf = leafHash(sha256Raw, utf8(leafText(entry)));
      const root = new Uint8Array(Buffer.from(checked.root, 'base64'));
      const proof = checked.tree.inclusion(place);
      expect(verifyInclusion(sha256Raw, leaf, entry.entry - 1, checked.size, proof, root)).toBe(true);
    });
  });

  it('tells the results of its own luminaire through a replacement in the list, and the repair', async () => {
    const story = await storyOf(checked, linkOf);
    expect(story.results.map(({ verdict, seconds }) => [verdict, seconds]).reverse()).toEqual([
      ...[
        ['pass', 90],
        ['pass', 90],
        ['fail', 0],
        ['pass', 90],
        ['pass', 90],
      ],
      ...[
        ['pass', 90],
        ['pass', 90],
        ['pass', 90],
        ['pass', 90],
      ],
    ]);
    expect(story.repairs.map(({ what }) => what)).toEqual(['new <b>lamp</b></script>']);
    expect(story.unlisted).toEqual([]);
    expect(story.journals.map(({ from, to, gaps, unlinked }) => [from, to, gaps, unlinked])).toEqual([
      [1, 3, [], []],
      [1, 9, [], []],
    ]);
  });

  it('tells what people checked, of the site, its circuit or itself, and what of that was withdrawn', async () => {
    const notes = notesOf('demo/*');
    const points = [
      { point: 'clean', asked: 'All is clean.', mark: 'not in order', luminaires: ['A-1'], words: 'dust' },
      { point: 'lit', asked: 'All is lit.', mark: 'not in order', luminaires: ['A-2'], words: 'dark' },
      { point: 'sign', asked: 'Signs are right.', mark: 'not applicable', luminaires: [], words: '' },
      { point: 'seen', asked: 'None is hidden.', mark: 'in order', luminaires: [], words: '' },
      { point: 'free', asked: 'Ways are free.', mark: 'partly', luminaires: [], words: '' },
    ];
    const at = 1770000000 + 86400 * 2;
    const walk = (scope: string, done = at) =>
      notes('inspection', at, { duty: 'walk', title: 'Walk', scope, done, points, words: '' });
    const before = sampleRecords(2);
    const scopes = ['site', 'area hall', 'circuit a', 'circuit b', 'luminaire A-2', 'luminaire A-1'];
    const all = [...before, ...scopes.map((scope) => walk(scope, at - 60))];
    const site = all.length - scopes.length + 1;
    const withdrawn = notes('withdrawn', at, { withdraws: site, why: 'another building' }, 'Zoë');
    const book = bookOf([...all, withdrawn]);
    const proven = await checkText(await proofOf({ book, size: all.length + 1 }));
    const { checks, journals } = await storyOf(proven, linkOf);
    expect(checks.map(({ scope }) => scope)).toEqual(['site', 'area hall', 'circuit a', 'luminaire A-2']);
    expect(checks[0]).toMatchObject({
      ...{ entry: site, at: at - 60, who: 'A. Person', title: 'Walk', withdrawn: 'Zoë: another building' },
      ...{ points: 5, inOrder: 1, found: ['All is lit (dark)'], elsewhere: 1, notApplicable: 1 },
    });
    expect(checkWords(checks[0])).toBe(
      'Walk, for the whole site: 1 of 5 points in order; 1 not applicable; 1 not in order at other luminaires; ' +
        '1 with an answer unknown to this file; not in order: All is lit (dark)',
    );
    expect(checks[1].withdrawn).toBe('');
    expect(journals.every(({ gaps, unlinked }) => gaps.length + unlinked.length === 0)).toBe(true);
    const alone = bookOf([...before.slice(0, 2), ...all.slice(before.length)]);
    await expect(proofOf({ book: alone, size: scopes.length + 2, from: at })).rejects.toThrow(
      /holds no record of a controller/,
    );
  });

  it('shows which records of a controller are missing in between', async () => {
    const without = records.filter((_, i) => i !== 6);
    const checked = await checkText(await proofOf({ book: bookOf(without), size: without.length }));
    const story = await storyOf(checked, linkOf);
    const night = (n: number) => 1770000000 + 86400 * n;
    expect(story.journals.find(({ address }) => address === 'demo/a')).toMatchObject({
      luminaires: ['A-1', 'A-2', 'NEW-0'],
      gaps: [{ from: 3, to: 3, after: night(2), before: night(4) }],
    });
  });

  it('says where records betray that they are not those of the checkpoint', async () => {
    const lines = text.split('\n');
    const at = lines.indexOf('== entries') + 1;
    const recoded = (line: string, change: (body: string) => string): string => {
      const [entry, data] = line.split(' ');
      return `${entry} ${Buffer.from(change(Buffer.from(data, 'base64').toString())).toString('base64')}`;
    };
    // The third entry of the file is the first record of the controller, the fourth the second.
    const passed = lines.with(
      at + 3,
      recoded(lines[at + 3], (body) => body.replace('[1,0,90,', '[1,0,91,')),
    );
    await expect(checkText(passed.join('\n'))).rejects.toThrow(
      /The place: entry \d+ \(record \d of demo\/a\) does not follow from entry \d+\.$/,
    );
    const swapped = lines
      .with(at + 2, `${lines[at + 2].split(' ')[0]} ${lines[at + 3].split(' ')[1]}`)
      .with(at + 3, `${lines[at + 3].split(' ')[0]} ${lines[at + 2].split(' ')[1]}`);
    await expect(checkText(swapped.join('\n'))).rejects.toThrow(
      /The place: entry \d+ .* does not follow from/,
    );
    const torn = lines.with(
      at + 2,
      recoded(lines[at + 2], (body) => body.replace('"seq"', '"sep"')),
    );
    await expect(checkText(torn.join('\n'))).rejects.toThrow(/The place: entry \d+ cannot be read/);
  });

  it('knows its own root and the earlier one on paper, and no other', () => {
    const { root } = checked;
    expect(compareNoted(checked, `${root.slice(0, 4)} ${root.slice(4, 20)}`)).toEqual({
      answer: 'this',
      size: 22,
    });
    const early = Buffer.from(checked.earlier!.root, 'hex').toString('base64');
    expect(compareNoted(checked, early)).toEqual({ answer: 'earlier', size: 7 });
    expect(compareNoted(checked, root.slice(0, 15)).answer).toBe('too short');
    expect(compareNoted(checked, `${root.slice(0, 15)}${root[15] === 'A' ? 'B' : 'A'}`).answer).toBe('other');
    expect(compareNoted(checked, root.toLowerCase()).answer).toBe('other');
  });

  it('is refused with any character changed, and with any line removed, doubled or moved', async () => {
    const lines = text.split('\n');
    const changed = [];
    for (let at = 0; at < text.length; at += 7) {
      const other = text.charCodeAt(at) === 0x41 ? 'B' : 'A';
      changed.push(text.slice(0, at) + other + text.slice(at + 1));
    }
    lines.forEach((line, i) => {
      if (i === lines.length - 1) return;
      changed.push([...lines.slice(0, i), ...lines.slice(i + 1)].join('\n'));
      changed.push([...lines.slice(0, i), line, ...lines.slice(i)].join('\n'));
      if (i > 0 && line !== lines[i - 1])
        changed.push([...lines.slice(0, i - 1), line, lines[i - 1], ...lines.slice(i + 1)].join('\n'));
    });
    changed.push(`${text}\n`, ` ${text}`, text.slice(0, -1), text.replaceAll('\n', '\r\n'), '');
    expect(changed.length).toBeGreaterThan(800);
    for (const mutant of changed) await expect(checkText(mutant), mutant.slice(0, 80)).rejects.toThrow();
  });

  it('of a log book rewritten with all secrets still fits itself, but no witness and no paper', async () => {
    const rewritten = records.map((record) => ({
      ...record,
      body: record.body.replace('[2,1,0,', '[1,0,90,'),
    }));
    const forged = await checkText(
      await proofOf({ book: bookOf(rewritten), size: records.length, witnessed: false }),
    );
    expect(forged.witnesses).toEqual([]);
    expect(compareNoted(forged, checked.root).answer).toBe('other');
    const borrowed = text.split('\n').find((line) => line.startsWith('\u2014 gatehouse'))!;
    const own = await proofOf({ book: bookOf(rewritten), size: records.length });
    const mixed = own.replace(/^\u2014 gatehouse .*$/m, borrowed);
    await expect(checkText(mixed)).rejects.toThrow(/signed by|does not fit/);
  });

  it('does not lead on from a log book that was changed before the noted root', async () => {
    const other = bookOf(sampleRecords().map((record, i) => (i === 2 ? { ...record, at: 1 } : record)));
    const book = bookOf(records);
    const mixed = {
      ...book,
      tree: {
        ...book.tree,
        root: (size?: number) => (size === 7 ? other.tree.root(7) : book.tree.root(size)),
      },
    };
    await expect(checkText(await proofOf({ book: mixed, size: 22, noted: 7 }))).rejects.toThrow(
      /does not begin with the one of 7/,
    );
  });

  it('hashes as a stranger would', () => {
    const entry = checked.entries[2];
    const data = `${entry.address}\n${entry.at}\n${entry.body}`;
    const hash = createHash('sha256')
      .update(Buffer.concat([Buffer.of(0), Buffer.from(data)]))
      .digest('hex');
    expect(Buffer.from(leafHash(sha256Raw, utf8(leafText(entry)))).toString('hex')).toBe(hash);
  });
});
