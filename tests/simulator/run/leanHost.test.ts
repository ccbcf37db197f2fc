import { describe, expect, it } from 'vitest';
import { LeanHost } from '../../../simulator/run/leanHost';
import { circuit, DAY_MS } from './circuit';

/** Records of two months, in the order they arrived. */
function records(): string[] {
  const lone = circuit();
  const texts: string[] = [];
  const accept = lone.desk.accept.bind(lone.desk);
  lone.desk.accept = (topic, payload) => {
    if (topic.endsWith('/record')) texts.push(payload);
    accept(topic, payload);
  };
  lone.run(60 * DAY_MS);
  return texts;
}

const ALL = records();

/** How an empty log book files these records. */
function filed(texts: string[]) {
  const desk = new LeanHost('estate/c1', 'estate secret', {
    ...{ utcMs: () => 0, clockErrorMs: () => 0, publish: () => {} },
  });
  for (const text of texts) desk.accept('nightproof/estate/c1/record', text);
  const { filed: count, missing, repeated, doubled, broken } = desk.account;
  return { filed: count, missing, repeated, doubled, broken, link: desk.link };
}

const WHOLE = { filed: 7, missing: 0, repeated: 0, doubled: 0, broken: 0 };

describe('the log book of a long run', () => {
  it('files records that arrive in order, and recognises one that arrives again', () => {
    expect(filed(ALL)).toMatchObject(WHOLE);
    const again = filed([...ALL.slice(0, 3), ALL[2], ...ALL.slice(3)]);
    expect(again).toEqual({ ...filed(ALL), repeated: 1 });
  });

  it('counts what is missing', () => {
    expect(filed(ALL.filter((_, i) => i !== 2 && i !== 3))).toMatchObject({
      filed: 5,
      missing: 2,
      broken: 0,
    });
  });

  it('finds a record that was changed, and one that does not follow', () => {
    const changed = ALL[3].replace('"kind"', '"kine"');
    expect(filed([...ALL.slice(0, 3), changed, ...ALL.slice(4)]).broken).toBeGreaterThan(0);
    const other = ALL[3].replace(/"prev":"./, '"prev":"x');
    expect(filed([...ALL.slice(0, 3), other, ...ALL.slice(4)]).broken).toBeGreaterThan(0);
  });

  it('finds another record under a number that was filed just before', () => {
    expect(filed([...ALL, ALL[6].replace('"kind"', '"kine"')])).toMatchObject({ filed: 7, doubled: 1 });
  });

  it('ends with another link for another history', () => {
    expect(filed(ALL.slice(0, 6)).link).not.toBe(filed(ALL).link);
  });
});
