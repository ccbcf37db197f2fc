// Started as a process of its own: flips single bits of a log book's file, one at a time, and reads all of it each time.
// Prints how many were told as damage and how many changed nothing that is read. An abort ends it without a word.
import { closeSync, copyFileSync, openSync, readFileSync, rmSync, statSync, writeSync } from 'node:fs';
import { openLogbook } from '../../../host/logbook/engines/open';
import { LogbookError } from '../../../host/logbook/logbook';

const [file, flips] = process.argv.slice(2);
const copy = `${file}.flipped`;

async function readAll(): Promise<string> {
  const logbook = await openLogbook(copy);
  try {
    const slices = [];
    for (let after = 0; ; ) {
      const slice = await logbook.after(after, 100);
      if (slice.length === 0) break;
      slices.push(slice);
      after = slice[slice.length - 1].entry;
    }
    const rest = [
      await logbook.page({ limit: 500 }),
      await logbook.evidence(500),
      await logbook.orders.recent(500),
      [...(await logbook.memory.all())],
      await logbook.checkpoints.all(),
      Buffer.from(await logbook.tree.root()).toString('hex'),
      await logbook.verify(),
    ];
    return JSON.stringify([slices, rest]);
  } finally {
    await logbook.close();
  }
}

function flip(at: number, bit: number): void {
  for (const rest of ['-wal', '-shm']) rmSync(copy + rest, { force: true });
  copyFileSync(file, copy);
  const byte = readFileSync(copy)[at] ^ (1 << bit);
  const handle = openSync(copy, 'r+');
  writeSync(handle, Buffer.of(byte), 0, 1, at);
  closeSync(handle);
}

copyFileSync(file, copy);
const whole = await readAll();
const size = statSync(file).size;
const count = { told: 0, read: 0, unread: 0 };
for (let i = 0; i < Number(flips); i++) {
  flip(Math.floor(((i + 0.5) * size) / Number(flips)), i % 8);
  try {
    count[(await readAll()) === whole ? 'unread' : 'read']++;
  } catch (error) {
    if (!(error instanceof LogbookError)) throw error;
    count.told++;
  }
}
process.stdout.write(JSON.stringify(count));
