// The PostgreSQL log book, assembled; every error is one sentence.
import type { Logbook } from '../../logbook';
import type { Place } from './address';
import { Appender } from './append';
import { newReader } from './read';
import { prepareSchema } from './schema';
import { Session } from './session';
import { newCheckpointStore, newLogTree, newMemoryStore, newOrderStore } from './stores';

/**
 * Opens a log book in a database, or makes it there.
 * @throws LogbookError with one sentence if the server does not answer or would lose what it confirms, or what is
 * there is foreign or newer.
 */
export async function openPostgres(place: Place): Promise<Logbook> {
  const session = new Session(place);
  try {
    await prepareSchema(session);
  } catch (error) {
    await session.close();
    throw error;
  }
  const appender = new Appender(session);
  const reader = newReader(session);
  return {
    appendBatch: (records) => appender.writing(({ filing }) => records.map((r) => filing.append(r))),
    appendNext: (address, journal, write) =>
      appender.writing(({ filing }) => filing.next(address, journal, write)),
    appendNextAll: (records) =>
      appender.writing(({ filing }) => records.map((r) => filing.next(r.address, r.journal, r.write))),
    keep: (unfit) => appender.writing(({ filing }) => filing.flag({ ...unfit, journal: '', seq: 0 })),
    through: (address, journal, after = 0) => appender.through(address, journal, after),
    throughAll: (journals) => appender.throughAll(journals),
    lastOf: (address, journal) => reader.lastOf(address, journal),
    entries: () => reader.entries(),
    page: (filter) => reader.page(filter),
    total: (filter) => reader.total(filter),
    after: (after, limit, kind) => reader.after(after, limit, kind),
    results: (address, limit) => reader.results(address, limit),
    evidence: (limit) => reader.evidence(limit),
    evidenceCount: () => reader.evidenceCount(),
    verify: (keys) => reader.verify(keys),
    tree: newLogTree(appender),
    checkpoints: newCheckpointStore(session),
    orders: newOrderStore(session, appender),
    memory: newMemoryStore(session),
    // A database is never copied without its newest entries.
    mark: async () => {},
    close: () => session.close(),
  };
}
