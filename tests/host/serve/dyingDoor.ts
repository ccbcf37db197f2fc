// Saves a change of a site file, and kills its own process at a given moment: file, log book, moment.
import { createHouse } from '../../../host/house/house';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import { loadSite } from '../../../host/site/load';
import { createSiteDoor } from '../../../host/siteDoor/door';
import { readSiteText, revisionOf } from '../../../host/siteDoor/file';
import { KEYS } from '../logbook/records';

const [, , file, db, when] = process.argv;

function die(): never {
  process.kill(process.pid, 'SIGKILL');
  throw new Error('A process cannot outlive this.');
}

const loaded = loadSite(file);
if ('mistakes' in loaded) throw new Error('The site file has mistakes.');
const { site } = loaded;
const logbook = await openLogbook(db);
const memory = {
  all: () => logbook.memory.all(),
  async remember(name: string, text: string) {
    if (when === 'after the entry' && isEntered) die();
    await logbook.memory.remember(name, text);
    if (when === 'before the file' && name === 'site change') die();
  },
};
let isEntered = false;
const appendNext: Logbook['appendNext'] = async (...given) => {
  if (when === 'before the entry') die();
  const entry = await logbook.appendNext(...given);
  isEntered = true;
  return entry;
};
const dying = { memory, appendNext, lastOf: logbook.lastOf.bind(logbook) } as Partial<Logbook>;
const house = createHouse({
  ...{ site, keys: KEYS, memory: { recall: () => '', remember: () => {} }, simulated: false },
  ...{ heartbeatSec: 60, slackSec: () => 5, upSec: () => 0 },
});
const revision = revisionOf(readSiteText(file));
const door = createSiteDoor({
  ...{ site, file, inForce: revision, fixed: '', logbook: dying as Logbook, keys: KEYS, house },
  ...{ apply: async () => {}, now: () => 0, takeOver: () => {}, taking: () => null },
});
const changes = [{ do: 'set', part: 'luminaires', id: 'A-2', field: 'place', value: 'Loft' } as const];
process.stdout.write(JSON.stringify(await door.change({ revision, who: 'Ada Vail', changes }, 1770000000)));
