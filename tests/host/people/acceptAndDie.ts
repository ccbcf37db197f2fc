// A host that accepts measured currents and is killed in the same breath, before anything can be sent.
import { openLogbook } from '../../../host/logbook/sqlite/open';
import { acceptBaseline } from '../../../host/people/baseline';
import { HOUSE } from '../building/house';
import { KEYS } from '../logbook/records';

const [db, at] = process.argv.slice(2);
const [circuit] = HOUSE.circuits;
const asked = { address: 'demo/a', circuit, luminaires: [], who: 'Anna', at: Number(at), floorPercent: 70 };
const outcome = acceptBaseline(openLogbook(db), KEYS, asked);
if ('rows' in outcome) process.kill(process.pid, 'SIGKILL');
