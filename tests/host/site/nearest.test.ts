import { describe, expect, it } from 'vitest';
import { nearest } from '../../../host/site/nearest';

const known = ['timeZone', 'batteryMilliamps', 'mainsMilliamps', 'name', 'id'];

describe('the word that was probably meant', () => {
  it.each([
    ['timezone', 'timeZone'],
    ['time_zone', 'timeZone'],
    ['tmeZone', 'timeZone'],
    ['battery', 'batteryMilliamps'],
    ['nam', 'name'],
  ])('for %s is %s', (word, meant) => {
    expect(nearest(word, known)).toBe(meant);
  });

  it.each(['colour', 'x', '', '--'])('is not guessed for "%s"', (word) => {
    expect(nearest(word, known)).toBeUndefined();
  });
});
