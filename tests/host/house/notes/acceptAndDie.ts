// A host that accepts measured currents and is killed immediately, before anything can be sent.
import { decideAcceptance } from '../../../../host/house/notes/baseline';
import { writeNote } from '../../../../host/house/notes/notes';
import { readPast } from '../../../../host/house/past';
import { openLogbook } from '../../../../host/logbook/engines/open';
import { KEYS } from '../../logbook/records';
import { HOUSE } from '../site';

const [db, at] = process.argv.slice(2);
const [circuit] = HOUSE.circuits;
const logbook = await openLogbook(db);
const past = await readPast(logbook, HOUSE, KEYS);
const decision = decideAcceptance({
  ...{ address: 'demo/a', circuit, luminaires: [], who: 'Anna', at: Number(at), floorPercent: 70 },
  inForce: circuit,
  complete: past.history.of('a').complete,
});
if ('note' in decision) {
  await writeNote(logbook, KEYS, decision.note);
  process.kill(process.pid, 'SIGKILL');
}
