import { openLogbook } from '../../../host/logbook/engines/open';
import { logbookCases } from './cases';

logbookCases({
  name: 'SQLite in memory',
  isKept: false,
  place: async () => ({ open: () => openLogbook(':memory:'), remove: async () => {} }),
});
