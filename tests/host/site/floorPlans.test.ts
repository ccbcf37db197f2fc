import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import { afterAll, describe, expect, it } from 'vitest';
import { formatMistake, loadSite, parseSite } from '../../../host/site/load';
import { lookAt, PICTURE_BYTES_MAX, readPicture } from '../../../host/site/picture';
import { TODAY } from './slips';
import { SMALL } from './small';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-plans-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const SPOT = 'batteryMilliamps: 150, floorPlan: hall, across: 31.5, down: 60';
const PLAN = '{ id: hall, name: Hall, picture: plans/hall.svg, floor: ground, areas: [hall] }';

/** The small site with a floor plan, and its second luminaire on it. */
const site = (plan = PLAN, spot = SPOT) =>
  SMALL.replace('areas:\n', `floorPlans:\n  - ${plan}\nareas:\n`).replace('batteryMilliamps: 150', spot);

/** What is said of a site, after file and line. */
const said = (text: string) => {
  const result = parseSite(text, 'mill.yaml', () => TODAY);
  return 'mistakes' in result ? result.mistakes.map(formatMistake) : [];
};

describe('a floor plan in a site file', () => {
  it('says which picture shows which floor, and a luminaire where it is on it', () => {
    const result = parseSite(site(), 'mill.yaml', () => TODAY);
    if ('mistakes' in result) throw new Error(result.mistakes.map(formatMistake).join('\n'));
    expect(result.site.floorPlans).toMatchObject([
      { id: 'hall', picture: 'plans/hall.svg', areas: ['hall'] },
    ]);
    const [first, second] = result.site.circuits[0].luminaires;
    expect([first.spot, second.spot]).toEqual([undefined, { floorPlan: 'hall', across: 31.5, down: 60 }]);
  });

  const LAMP = 'mill.yaml:24: circuits[one].luminaires[A-2]';
  const PICTURE =
    'mill.yaml:11: floorPlans[hall].picture: must be the picture of the floor plan: the path of an SVG, PNG or JPEG ' +
    'file below the folder of the site file, with /, e.g. "plans/ground.svg", but is';
  it.each<[string, string, string[]]>([
    [
      'a plan that is not there',
      site(PLAN, SPOT.replace('floorPlan: hall', 'floorPlan: hal')),
      [`${LAMP}.floorPlan: there is no floor plan "hal"; did you mean "hall"?`],
    ],
    [
      'a place outside the picture',
      site(PLAN, SPOT.replace('31.5', '315')),
      [
        `${LAMP}.across: must be the place on the floor plan, percent of its width from its left edge, a number from 0 to 100, but is 315.`,
      ],
    ],
    [
      'half a place',
      site(PLAN, SPOT.replace(', down: 60', '')),
      [`${LAMP}.down: is missing; a place on a floor plan is across and down, in percent.`],
    ],
    [
      'a place on no plan',
      site(PLAN, SPOT.replace('floorPlan: hall, ', '')),
      [`${LAMP}.across: is a place on no floor plan; write floorPlan too, or remove this field.`],
    ],
    [
      'an unknown floor and area',
      site(PLAN.replace('ground', 'grund').replace('[hall]', '[attic]')),
      [
        'mill.yaml:11: floorPlans[hall].floor: there is no floor "grund"; did you mean "ground"?',
        'mill.yaml:11: floorPlans[hall].areas[#1]: there is no area "attic"; write the id of an area listed in this file.',
      ],
    ],
    [
      'two plans of one id',
      site(`${PLAN}\n  - ${PLAN}`),
      ['mill.yaml:12: floorPlans[hall].id: there is another floor plan "hall"; give each one its own id.'],
    ],
    ['a file elsewhere', site(PLAN.replace('plans/', '../')), [`${PICTURE} "../hall.svg".`]],
    ['a file of the whole machine', site(PLAN.replace('plans/', '/')), [`${PICTURE} "/hall.svg".`]],
    ['another kind of file', site(PLAN.replace('.svg', '.pdf')), [`${PICTURE} "plans/hall.pdf".`]],
  ])('is told in one sentence where it has %s', (_, text, get) => {
    expect(said(text)).toEqual(get);
  });

  it('has its picture looked at by whoever writes the file, and keeps no host from starting', () => {
    const file = join(folder, 'mill.yaml');
    writeFileSync(file, site());
    const of = () => {
      const result = loadSite(file, () => TODAY);
      return 'mistakes' in result
        ? result.mistakes.map(({ line, field, message }) => [line, field, message])
        : [];
    };
    const write = 'write the path of an SVG, PNG or JPEG file of at most 8 MB.';
    expect(loadSite(file)).toHaveProperty('site');
    expect(of()).toEqual([
      [11, 'floorPlans[hall].picture', `"plans/hall.svg": there is no such file; ${write}`],
    ]);
    mkdirSync(join(folder, 'plans'));
    writeFileSync(join(folder, 'plans', 'hall.svg'), 'no picture');
    expect(of()).toEqual([
      [11, 'floorPlans[hall].picture', `"plans/hall.svg": this is no picture that can be shown; ${write}`],
    ]);
    writeFileSync(join(folder, 'plans', 'hall.svg'), '<svg xmlns="" viewBox="0 0 4 3"/>');
    expect(of()).toEqual([]);
  });
});

/** A PNG of one grey, by the PNG specification (W3C, third edition, 2025): its head alone says the size. */
function png(width: number, height: number): Buffer {
  const chunk = (name: string, data: Buffer) => {
    const length = Buffer.alloc(4);
    length.writeUInt32BE(data.length);
    return Buffer.concat([length, Buffer.from(name, 'latin1'), data, Buffer.alloc(4)]);
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head[8] = 8;
  const data = deflateSync(Buffer.alloc(8));
  return Buffer.concat([Buffer.from('89504e470d0a1a0a', 'hex'), chunk('IHDR', head), chunk('IDAT', data)]);
}

/** The head of a JPEG: start of image, frame of that size (ITU-T T.81, 1992, B.2.2). */
function jpeg(width: number, height: number): Buffer {
  const [w, h] = [width, height].map((n) => n.toString(16).padStart(4, '0'));
  const jfif = 'ffe000104a46494600010100000100010000';
  return Buffer.from(`ffd8${jfif}ffc0000b08${h}${w}01011100ffda`, 'hex');
}

const message = (bytes: Buffer | string) => {
  const seen = lookAt(Buffer.from(bytes as string));
  return 'message' in seen ? seen.message : seen.picture.type;
};

describe('a picture', () => {
  it.each<[string, Buffer | string, string]>([
    ['a PNG', png(800, 600), 'image/png'],
    ['a JPEG', jpeg(800, 600), 'image/jpeg'],
    ['an SVG', '<svg viewBox="0 0 4 3">', 'image/svg+xml'],
    ['an SVG with a width and a height', "<svg width='30mm' height='20.5mm'/>", 'image/svg+xml'],
    ['an SVG with commas', '<svg a="b>c" viewBox = "0,0,4,3">', 'image/svg+xml'],
    [
      'an SVG with a long head',
      `\uFEFF<?xml version="1.0"?>\n<!-- ${'drawn '.repeat(500)} -->\n<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "x">\n<svg viewBox="0 0 4 3">`,
      'image/svg+xml',
    ],
  ])('may be %s, whatever it is called', (_, bytes, type) => {
    expect(message(bytes)).toBe(type);
  });

  const NONE = expect.stringMatching(
    /^this is no picture that can be shown; write the path of an SVG, PNG or JPEG/,
  );
  it.each<[string, Buffer | string, unknown]>([
    ['nothing', '', NONE],
    ['a page', '<!doctype html><html><svg viewBox="0 0 4 3"></html>', NONE],
    ['an unfinished tag', '<svg viewBox="0 0 4 3"', NONE],
    ['a PNG that is cut off', png(800, 600).subarray(0, 14), NONE],
    ['a JPEG that is cut off', jpeg(800, 600).subarray(0, 24), NONE],
    ['other bytes', Buffer.from([0, 1, 2, 255]), NONE],
    [
      'an SVG without a size',
      '<svg width="100%" height="100%">',
      'the SVG does not say how wide and high it is, so nothing has a place on it; save it with a viewBox',
    ],
    [
      'an SVG with entities',
      '<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg viewBox="0 0 4 3">&a;</svg>',
      'the SVG declares entities, which may grow without end; save it as plain SVG',
    ],
    [
      'more pixels than a phone holds',
      png(30_000, 30_000),
      'the picture has 30000 x 30000 pixels; save it with at most 32 million',
    ],
    ['a PNG of no width', png(0, 600), NONE],
  ])('is refused where it is %s', (_, bytes, words) => {
    expect(message(bytes)).toEqual(words);
  });

  it('is judged by its own bytes, whatever lies behind them in memory', () => {
    const whole = jpeg(800, 600);
    expect(lookAt(whole.subarray(0, 24))).toEqual({ message: NONE });
    expect(lookAt(whole)).toMatchObject({ picture: { type: 'image/jpeg' } });
  });

  it('is refused where it is a folder, or too large', () => {
    const file = join(folder, 'large.svg');
    writeFileSync(file, Buffer.alloc(PICTURE_BYTES_MAX + 1, ' '));
    expect(readPicture(folder)).toEqual({ message: expect.stringMatching(/^this is a folder; write/) });
    expect(readPicture(file)).toEqual({
      message: expect.stringMatching(/^the file is larger than 8 MB; write/),
    });
  });
});
