// Floor plans, as the site file says: their pictures, what they show, and the luminaires placed on them.
import type { Note } from './note';
import { checkKnown, checkUnique } from './references';
import type { SiteFile } from './schema';

/** What is wrong with a picture, by its path from the site file, in one sentence; undefined for nothing. */
export type PictureCheck = (path: string) => string | undefined;

/** Notes every mistake about floor plans. */
export function checkFloorPlans(file: SiteFile, note: Note, picture?: PictureCheck): void {
  const plans = file.floorPlans ?? [];
  checkUnique(plans, (i) => ['floorPlans', i], 'floor plan', note);
  const floors = new Set(file.floors.map(({ id }) => id));
  const areas = new Set(file.areas.map(({ id }) => id));
  plans.forEach((plan, i) => {
    checkKnown(plan.floor, floors, 'floor', ['floorPlans', i, 'floor'], note);
    plan.areas?.forEach((area, k) => {
      checkKnown(area, areas, 'area', ['floorPlans', i, 'areas', k], note);
    });
    const wrong = picture?.(plan.picture);
    if (wrong !== undefined) note(['floorPlans', i, 'picture'], wrong);
  });
  checkSpots(file, new Set(plans.map(({ id }) => id)), note);
}

/** A place is a floor plan with both of its shares, or nothing. */
function checkSpots(file: SiteFile, plans: Set<string>, note: Note): void {
  file.circuits.forEach((circuit, i) => {
    circuit.luminaires.forEach((lamp, j) => {
      const path = ['circuits', i, 'luminaires', j];
      const shares = (['across', 'down'] as const).filter((field) => lamp[field] !== undefined);
      if (lamp.floorPlan === undefined) {
        if (shares.length > 0)
          note(
            [...path, shares[0]],
            'is a place on no floor plan; write floorPlan too, or remove this field',
          );
        return;
      }
      checkKnown(lamp.floorPlan, plans, 'floor plan', [...path, 'floorPlan'], note);
      for (const field of ['across', 'down'] as const)
        if (!shares.includes(field))
          note([...path, field], 'is missing; a place on a floor plan is across and down, in percent');
    });
  });
}
