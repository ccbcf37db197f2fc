// Placing luminaires on a floor plan by hand: where a click or a key puts them, and what is to be saved of it.
import type { Change } from '../../api/site';
import type { FloorPlan, Luminaire, Spot } from '../../site/model';
import { t } from '../tongues/tongue';
import type { Placed, PlanLamps } from './floor';

/** New places by luminaire; null takes it off the plan. */
export type Draft = ReadonlyMap<string, Spot | null>;

/** One step of an arrow key, % of the picture; with Shift a tenth of that. */
const STEP = 1;
const FINE = 0.1;

/** A share kept on the picture, with one decimal: a millimetre on a plan of A3. */
function share(percent: number): number {
  return Math.round(Math.min(100, Math.max(0, percent)) * 10) / 10;
}

/** Where a point in the window lies on a picture. */
export function spotAt(
  floorPlan: string,
  point: { x: number; y: number },
  picture: { left: number; top: number; width: number; height: number },
): Spot {
  const across = share((100 * (point.x - picture.left)) / picture.width);
  return { floorPlan, across, down: share((100 * (point.y - picture.top)) / picture.height) };
}

/** The middle of a plan, from where a luminaire is moved by keys. */
export function middleOf({ id }: FloorPlan): Spot {
  return { floorPlan: id, across: 50, down: 50 };
}

/** Where an arrow key moves a place; undefined for another key. */
export function movedBy(key: string, isFine: boolean, spot: Spot): Spot | undefined {
  const by = isFine ? FINE : STEP;
  const steps: Record<string, [number, number]> = {
    ...{ ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] },
  };
  const step = steps[key];
  return step && { ...spot, across: share(spot.across + step[0]), down: share(spot.down + step[1]) };
}

/** "58.3 % across, 41.3 % down". */
export function spotWords({ across, down }: Spot): string {
  return t.placing.spot(across, down);
}

function spotOf({ id, spot }: Luminaire, draft: Draft): Spot | undefined {
  return draft.has(id) ? (draft.get(id) ?? undefined) : spot;
}

function drafted(one: Placed, draft: Draft): Placed {
  const { spot: _, ...rest } = one.luminaire;
  const spot = spotOf(one.luminaire, draft);
  return { ...one, luminaire: { ...rest, ...(spot && { spot }) } };
}

/** The luminaires of a plan as they would be. */
export function withDraft({ placed, unplaced }: PlanLamps, draft: Draft): PlanLamps {
  const all = [...placed, ...unplaced].map((one) => drafted(one, draft));
  return {
    placed: all.filter(({ luminaire }) => luminaire.spot),
    unplaced: all.filter(({ luminaire }) => !luminaire.spot),
  };
}

function isSame(a: Spot | undefined, b: Spot | undefined): boolean {
  return a?.floorPlan === b?.floorPlan && a?.across === b?.across && a?.down === b?.down;
}

/** Luminaires whose places are not yet those of the site. */
export function unsaved({ placed, unplaced }: PlanLamps, draft: Draft): { id: string; spot: Spot | null }[] {
  return [...placed, ...unplaced].flatMap(({ luminaire }) => {
    const spot = spotOf(luminaire, draft);
    return isSame(spot, luminaire.spot) ? [] : [{ id: luminaire.id, spot: spot ?? null }];
  });
}

/**
 * What to change in the site file: the whole place of each luminaire that was moved, so that no half of it is somebody
 * else's, who saved meanwhile. The log book says only what differs from the file.
 */
export function changesOf(lamps: PlanLamps, draft: Draft): Change[] {
  return unsaved(lamps, draft).flatMap(({ id, spot }) =>
    (['floorPlan', 'across', 'down'] as const).map((field) => ({
      do: 'set' as const,
      part: 'luminaires' as const,
      id,
      field,
      value: spot?.[field] ?? null,
    })),
  );
}

/** The same for somebody who writes the site file: one line for each luminaire. */
export function fileLines(lamps: PlanLamps, draft: Draft): string {
  return unsaved(lamps, draft)
    .map(({ id, spot }) =>
      spot
        ? `${id}: floorPlan: ${spot.floorPlan}, across: ${spot.across}, down: ${spot.down}`
        : `${id}: without floorPlan, across and down`,
    )
    .join('\n');
}
