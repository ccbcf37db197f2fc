// The picture of a year: its contents, by the text of the file. tests/system/picture.test.ts checks how it
// looks.
import { describe, expect, it } from 'vitest';
import { calendarBlocks, rowsOf } from '../../../host/picture/calendar';
import { chosen, DRAWN_MAX, outAt, stepFor } from '../../../host/picture/curves';
import { layOut, WIDTH } from '../../../host/picture/flow';
import { testMark } from '../../../host/picture/marks';
import { yearPicture } from '../../../host/picture/picture';
import { circuit, discharge, FROM, test, YEAR } from './year';

describe('the picture', () => {
  const svg = yearPicture([YEAR]);

  it('has a title and description of what it shows, for screen readers', () => {
    expect(svg).toContain('<title id="title">Emergency lighting tests: Salt &amp; Rope House</title>');
    expect(svg).toContain(
      '5 Jan 2026 to 4 Jan 2027: 4 function tests and 1 longer tests of 2 circuits, 2 with a failed luminaire, ' +
        '1 without a verdict for one. Failed: H-2 (hall), &lt;L&gt;&quot;1&quot; (loft).',
    );
  });

  it('describes the mark under the pointer: circuit, date, time, kind and which luminaires failed', () => {
    expect(svg).toContain('<title>hall, 15 Jan 2026 01:12, function test, passed</title>');
    expect(svg).toContain('<title>hall, 14 Feb 2026 01:12, duration test, failed: H-2</title>');
    expect(svg).toContain('<title>loft, 16 Mar 2026 01:12, function test, void</title>');
  });

  it('loads nothing from elsewhere and runs no script', () => {
    expect(svg).not.toMatch(/<script|href|url\(|@import|on\w+="/);
    expect(svg.match(/https?:\/\/[^"]*/g)).toEqual(['http://www.w3.org/2000/svg']);
  });

  it('is the same for the same year, and includes every estate of a comparison', () => {
    expect(yearPicture([YEAR])).toBe(svg);
    const both = yearPicture([YEAR, { ...YEAR, name: 'By hand' }]);
    expect(both).toContain('Emergency lighting tests: Salt &amp; Rope House; By hand');
    expect(both.match(/How to read it/g)).toHaveLength(2);
  });

  it('says so if nothing failed', () => {
    const quiet = { ...YEAR, circuits: [circuit('hall', [test(3)])], discharges: [] };
    expect(yearPicture([quiet])).toContain('>No luminaire failed.<');
  });

  it('counts how often a luminaire failed, from the first time on, and names no more than fit', () => {
    const failed = Array.from({ length: 20 }, (_, i) =>
      test(i, { outcome: 'failed', failed: [`L-${i}`, 'M'] }),
    );
    const many = yearPicture([{ ...YEAR, circuits: [circuit('hall', failed)] }]);
    expect(many).toContain('>5 Jan 2026: M (hall), function test, 20 times<');
    expect(many).toContain('>Luminaires that failed: 21<');
    expect(many).toContain('>and 7 more<');
  });
});

describe('the marks', () => {
  it('differ in shape for every kind and outcome, whatever their colour', () => {
    const colourless = (mark: string) =>
      mark.replace(/#[0-9a-f]+/g, (colour) => (colour === '#fff' ? 'empty' : 'ink'));
    const marks = (['brief', 'full', 'limited'] as const).flatMap((kind) =>
      (['passed', 'failed', 'void'] as const).map((outcome) => colourless(testMark(kind, outcome, 5, 5))),
    );
    expect(new Set(marks).size).toBe(9);
  });
});

describe('the rows', () => {
  const many = (count: number) => Array.from({ length: count }, (_, i) => circuit(`c${i}`, [test(2)]));

  it('show one circuit each while readable, and fold several into one beyond that', () => {
    expect(
      rowsOf(many(26))
        .map(({ name }) => name)
        .slice(0, 2),
    ).toEqual(['c0', 'c1']);
    const folded = rowsOf(many(60));
    expect(folded).toHaveLength(20);
    expect(folded[1]).toMatchObject({ name: 'c3 +2' });
    expect(folded.flatMap(({ circuits }) => circuits)).toHaveLength(60);
    expect(rowsOf(many(27)).map(({ circuits }) => circuits.length)).toEqual([...new Array(13).fill(2), 1]);
  });

  it('show how many of several circuits were tested in a night, and how many failed', () => {
    const circuits = many(60);
    circuits[4].tests = [test(2, { outcome: 'failed', failed: ['x'] })];
    circuits[5].tests = [];
    const [january] = calendarBlocks({ ...YEAR, circuits });
    expect(january.content).toContain('<title>c3 +2, 7 Jan 2026: 2 of 3 tested, 1 failed</title>');
    expect(january.content).toContain('<title>c6 +2, 7 Jan 2026: 3 of 3 tested, 0 failed</title>');
  });

  it('continue a charge or a loss of supply across the end of a month', () => {
    // From 30 January at noon to 2 February at noon.
    const bars = [{ from: FROM + 25.5, to: FROM + 28.5, kind: 'off' as const }];
    const blocks = calendarBlocks({ ...YEAR, circuits: [{ ...circuit('hall'), bars }] });
    const cell = (WIDTH - 82) / 31;
    const bar = (month: number) =>
      blocks[month].content.match(/<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="4"/);
    expect([bar(0)?.[1], bar(0)?.[2]].map(Number)).toEqual([
      expect.closeTo(82 + 29.5 * cell, 1),
      expect.closeTo(1.5 * cell, 1),
    ]);
    expect([bar(1)?.[1], bar(1)?.[2]].map(Number)).toEqual([82, expect.closeTo(1.5 * cell, 1)]);
    expect(bar(2)).toBeNull();
  });
});

describe('the discharge curves', () => {
  it('are those with failures first, then the newest, in order of time', () => {
    const plain = Array.from({ length: 12 }, (_, i) => discharge(100 + i));
    const [lamp] = discharge(0).lamps;
    const failed = discharge(5, { lamps: [{ ...lamp, hasFailed: true }] });
    const drawn = chosen([...plain, failed]);
    expect(drawn).toHaveLength(DRAWN_MAX);
    expect(drawn.map(({ day }) => day - FROM)).toEqual([5, ...[104, 105, 106, 107, 108, 109, 110, 111]]);
    expect(yearPicture([{ ...YEAR, discharges: [...plain, failed] }])).toContain(
      '>4 more duration tests are not drawn;',
    );
  });

  it('label current and time with their units, and the end of the rated duration', () => {
    const svg = yearPicture([YEAR]);
    for (const words of [
      'lamp current, mA',
      'minutes since the supply was cut',
      'end of rated duration, 180 min',
    ])
      expect(svg).toContain(`>${words}<`);
  });

  it.each([
    [
      'never lit',
      [
        [0, 0],
        [1, 2],
        [180, 1],
      ],
      0,
    ],
    [
      'out at its cut-off',
      [
        [0, 200],
        [40, 190],
        [41, 3],
        [180, 0],
      ],
      41,
    ],
    [
      'lit to the end',
      [
        [0, 200],
        [180, 150],
      ],
      undefined,
    ],
  ] as [string, [number, number][], number | undefined][])(
    'show a lamp that was %s',
    (_what, points, out) => {
      expect(outAt({ name: 'x', hasFailed: true, points })).toBe(out);
    },
  );

  it.each([
    [250, 50],
    [99, 20],
    [1000, 200],
    [11, 5],
  ])('have an axis up to %d mA in steps of %d', (top, step) => {
    expect(stepFor(top, 5)).toBe(step);
  });
});

describe('the layout', () => {
  const blocks = [30, 50, 20, 10].map((height, i) => ({ height, content: '', isFirst: i === 3 }));

  it('fills rows as high as their tallest block, and starts a new row where a block asks for it', () => {
    const step = WIDTH + 22;
    expect(layOut(blocks, 3).at).toEqual([
      [10, 10],
      [10 + step, 10],
      [10 + 2 * step, 10],
      [10, 82],
    ]);
    expect(layOut(blocks, 2).at).toEqual([
      [10, 10],
      [10 + step, 10],
      [10, 82],
      [10, 124],
    ]);
    expect(layOut(blocks, 1)).toMatchObject({ width: WIDTH + 20, height: 10 + 30 + 50 + 20 + 10 + 4 * 22 });
  });
});
