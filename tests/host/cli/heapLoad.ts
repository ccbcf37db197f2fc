// Holds objects and makes garbage that outlives the young generation, as a host does; tells by how much the heap grew
// beyond what it held.
import { getHeapStatistics } from 'node:v8';
import { keepHeapModest } from '../../../host/cli/modestHeap';

const HELD = 500_000;
const WAITING = 100_000;
const ROUNDS = 3_000_000;

if (process.argv[2] === 'modest') keepHeapModest();
const make = (i: number) => ({ i, text: `${i}`, list: [i] });
const held = Array.from({ length: HELD }, (_, i) => make(i));
const before = getHeapStatistics().used_heap_size;
const waiting: object[] = [];
let most = 0;
for (let i = 0; i < ROUNDS; i++) {
  waiting[i % WAITING] = make(i);
  if (i % 5000 === 0) most = Math.max(most, getHeapStatistics().used_heap_size);
}
process.stdout.write(JSON.stringify({ grown: most / before, held: held.length + waiting.length }));
