import { describe, expect, it } from 'vitest';
import {
  changesOf,
  type Draft,
  fileLines,
  middleOf,
  movedBy,
  spotAt,
  spotWords,
  unsaved,
  withDraft,
} from '../../../../host/page/words/placing';
import { changes } from '../../../../host/site/edit/change';
import type { Circuit, Luminaire } from '../../../../host/site/model';

const PLAN = { id: 'hall', name: 'Hall', picture: 'hall.svg', floor: 'ground' };
const MIDDLE = middleOf(PLAN);

describe('a place on a plan', () => {
  it('is where somebody points, in percent of the picture, and never beside it', () => {
    const picture = { left: 100, top: 50, width: 800, height: 300 };
    expect(spotAt('hall', { x: 500, y: 125 }, picture)).toEqual({ floorPlan: 'hall', across: 50, down: 25 });
    expect(spotAt('hall', { x: 433.3, y: 50 }, picture)).toMatchObject({ across: 41.7, down: 0 });
    expect(spotAt('hall', { x: 99, y: 900 }, picture)).toMatchObject({ across: 0, down: 100 });
  });

  it.each([
    ['ArrowLeft', false, [49, 50]],
    ['ArrowRight', false, [51, 50]],
    ['ArrowUp', true, [50, 49.9]],
    ['ArrowDown', true, [50, 50.1]],
  ])('is moved by %s, in small steps with Shift (%s)', (key, isFine, [across, down]) => {
    expect(movedBy(key, isFine, MIDDLE)).toEqual({ floorPlan: 'hall', across, down });
  });

  it('stays on the picture, and other keys leave it alone', () => {
    expect(movedBy('ArrowUp', false, { ...MIDDLE, down: 0.4 })).toMatchObject({ across: 50, down: 0 });
    expect([movedBy('Enter', false, MIDDLE), movedBy('Tab', false, MIDDLE)]).toEqual([undefined, undefined]);
    expect(spotWords({ floorPlan: 'hall', across: 58.3, down: 41 })).toBe('58.3 % across, 41 % down');
  });
});

describe('places that are not saved', () => {
  const lamp = (id: string, spot?: Luminaire['spot']) => ({ id, ...(spot && { spot }) }) as Luminaire;
  const one = (luminaire: Luminaire) => ({ luminaire, circuit: {} as Circuit, index: 0 });
  const lamps = {
    placed: [one(lamp('A', MIDDLE)), one(lamp('B', MIDDLE))],
    unplaced: [one(lamp('C')), one(lamp('D'))],
  };
  const draft: Draft = new Map([
    ['A', { ...MIDDLE, down: 12.5 }],
    ['B', null],
    ['C', { floorPlan: 'hall', across: 1, down: 2 }],
    ['D', null],
  ]);

  it('are shown as they would be', () => {
    const { placed, unplaced } = withDraft(lamps, draft);
    expect(placed.map(({ luminaire: { id, spot } }) => [id, spot?.down])).toEqual([
      ['A', 12.5],
      ['C', 2],
    ]);
    expect(unplaced.map(({ luminaire }) => luminaire.id)).toEqual(['B', 'D']);
  });

  it('are changed as a whole in the site file, or become lines for it', () => {
    expect(unsaved(lamps, draft).map(({ id }) => id)).toEqual(['A', 'B', 'C']);
    expect(
      changesOf(lamps, draft).map((change) => 'field' in change && [change.id, change.field, change.value]),
    ).toEqual([
      ['A', 'floorPlan', 'hall'],
      ['A', 'across', 50],
      ['A', 'down', 12.5],
      ['B', 'floorPlan', null],
      ['B', 'across', null],
      ['B', 'down', null],
      ['C', 'floorPlan', 'hall'],
      ['C', 'across', 1],
      ['C', 'down', 2],
    ]);
    expect(fileLines(lamps, draft)).toBe(
      'A: floorPlan: hall, across: 50, down: 12.5\nB: without floorPlan, across and down\nC: floorPlan: hall, across: 1, down: 2',
    );
    const same: Draft = new Map([['A', { ...MIDDLE }]]);
    expect([unsaved(lamps, same), changesOf(lamps, same), fileLines(lamps, same)]).toEqual([[], [], '']);
  });

  it('are saved at once for a plan of a thousand luminaires', () => {
    const unplaced = Array.from({ length: 1000 }, (_, n) => one(lamp(`L-${n}`)));
    const all: Draft = new Map(unplaced.map(({ luminaire }) => [luminaire.id, MIDDLE]));
    expect(changes.safeParse(changesOf({ placed: [], unplaced }, all)).success).toBe(true);
  });
});
