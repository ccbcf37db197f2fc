// Every property of fast-check that names no number of runs has that of the chosen depth.
import fc from 'fast-check';
import { runs } from './depth';

fc.configureGlobal({ numRuns: runs(100) });
