// Entries on this device, in the browser's database. "Strict" makes it wait for the disk: a phone may be dropped or run
// out of battery in the next second.
import type { Pending, PendingStore } from './outbox';

const DATABASE = 'nightproof';
const STORE = 'inspections';

function opened(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(DATABASE, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore(STORE, { keyPath: 'n', autoIncrement: true });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error('its database cannot be opened'));
    request.onblocked = () => reject(new Error('another window of this page must be closed first'));
  });
}

/** Runs one request in a transaction; resolves when that is complete, and on the disk if it writes. */
async function transact<T>(
  mode: IDBTransactionMode,
  ask: (store: IDBObjectStore) => IDBRequest<T>,
): Promise<T> {
  const database = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(STORE, mode, { durability: 'strict' });
      const request = ask(transaction.objectStore(STORE));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error ?? new Error('its database refused'));
    });
  } finally {
    database.close();
  }
}

/** The entries kept by this browser for this address. */
export const pendingStore: PendingStore = {
  all: () => transact<Pending[]>('readonly', (store) => store.getAll()),
  async add(entry) {
    await transact('readwrite', (store) => store.add(entry));
    // Without this the browser may clear its database when it needs room.
    await navigator.storage?.persist?.().catch(() => false);
  },
  async put(entry) {
    await transact('readwrite', (store) => store.put(entry));
  },
  async remove(n) {
    await transact('readwrite', (store) => store.delete(n));
  },
};
