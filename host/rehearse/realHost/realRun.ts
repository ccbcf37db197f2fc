// One run of a campaign with the real host.
import { CampaignRun, type Cut, type RunOutcome, sceneOf } from '../../../simulator/campaign/run';
import { mix, type RunNumber } from '../../../simulator/campaign/site';
import { fork } from '../../../simulator/random';
import { seededKeys } from '../../keys';
import { Books } from './books';
import { RealDesk } from './desk';

/** Programs that a run needs, as files. */
export interface RealHostParts {
  /** The command line, and the script of the host's process. */
  commandLine: string;
  program: string;
  /** The failing disk, compiled. */
  disk: string;
}

function namesOf(run: CampaignRun): Map<string, number> {
  const names = new Map<string, number>();
  for (const [node, journals] of run.written)
    for (const [journal, last] of journals) names.set(`${node.spec.address} ${journal}`, last);
  return names;
}

/** Plays a run with the real host. The same numbers draw the same run; its files are removed at the end. */
export async function realRun(at: RunNumber, cut: Cut, parts: RealHostParts): Promise<RunOutcome> {
  const scene = sceneOf(at, cut, 'real');
  const keys = seededKeys(mix(at));
  for (const { spec } of scene.site.circuits) spec.secret = keys.secretOf(spec.address);
  const books = new Books(parts.commandLine, mix(at));
  let desk: RealDesk | undefined;
  try {
    const run = new CampaignRun(scene, (host) => {
      const { program, disk } = parts;
      desk = new RealDesk(host, { books, site: 'campaign', program, disk, random: fork(mix(at), 'sectors') });
      return desk;
    });
    const real = desk as unknown as RealDesk;
    const play = run.play();
    let step = play.next();
    for (; !step.done; step = play.next()) await real.settled();
    const isWhole = step.value.violations.length === 0;
    if (isWhole) await real.finish(namesOf(run), run.written.size > 0 ? run.kept() : new Map());
    const { value } = step;
    return { ...value, violations: run.broken(), lost: value.lost + real.lost, host: real.outcome };
  } finally {
    await desk?.stop();
    books.remove();
  }
}
