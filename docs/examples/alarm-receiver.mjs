// Prints the alarms that the host sends to a webhook. It needs no packages: copy it, and do what you need in place of printing.
// node alarm-receiver.mjs, with "url: http://127.0.0.1:9000/alarm" in alerts.yaml
import { createServer } from 'node:http';
import { json } from 'node:stream/consumers';

const PORT = Number(process.argv[2] ?? 9000);

async function take(request) {
  const { name, events } = await json(request);
  for (const { state, what, luminaire, circuit, place, words } of events)
    console.log(
      `${state === 'raised' ? 'ALARM' : 'OVER'} ${name}: ${what}, ${luminaire ?? circuit} (${place}). ${words}`,
    );
}

// Whatever is not answered 2xx comes again, so answer when it is done. After a crash an event may come twice, with one `id`.
createServer((request, answer) =>
  take(request).then(
    () => answer.writeHead(204).end(),
    (error) => answer.writeHead(400).end(`${error.message}\n`),
  ),
).listen(PORT, '127.0.0.1', () => console.log(`Waiting for alarms at http://127.0.0.1:${PORT}/alarm`));
