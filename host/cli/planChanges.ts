// `plan --changes`: what a new plan would change for people. Apart from plan.ts, because log books take longer to load
// than all that a plan by itself needs.
import { nowSec, systemClock } from '../clock';
import { planInForce } from '../house/desired/desired';
import { lateCharges, renewedPlan } from '../house/desired/renewal';
import { readPast } from '../house/past';
import { presentKeys } from '../keys';
import { isLogbookThere, openLogbook } from '../logbook/engines/open';
import { expectOwn } from '../proof/owner';
import type { Site } from '../site/model';
import { Mistake } from './arguments';

export interface PlanChangesOptions {
  site: Site;
  /** The log book that holds the plan in force. */
  db: string;
  json: boolean;
}

/**
 * What `serve` would change in the current plan if it started now; nothing is sent.
 * @returns the exit code. @throws Mistake
 */
export async function planChangesCommand({ site, db, json }: PlanChangesOptions): Promise<number> {
  if (!(await isLogbookThere(db))) throw new Mistake(`There is no log book ${db}; give its file with --db.`);
  const logbook = await openLogbook(db);
  try {
    await expectOwn(logbook, site, db);
    const inForce = planInForce(await logbook.memory.all());
    if (!inForce)
      throw new Mistake(`The log book ${db} holds no plan yet; run \`plan\` without --changes to see one.`);
    const past = await readPast(logbook, site, presentKeys(db));
    const history = (circuit: string) => past.history.of(circuit).last;
    const owed = site.circuits.flatMap((circuit) => past.owed(circuit));
    const now = nowSec(systemClock);
    const full = (circuit: string) => Math.max(0, ...past.repairsCharged(circuit));
    const fullAt = lateCharges(inForce.plan, now, full, history);
    const { changes } = renewedPlan(site, inForce.plan, now, { history, owed, fullAt });
    const lines = changes.length > 0 ? changes.map(({ sentence }) => sentence) : ['Nothing changes.'];
    process.stdout.write(`${json ? JSON.stringify({ changes }) : lines.join('\n')}\n`);
    return 0;
  } finally {
    await logbook.close();
  }
}
