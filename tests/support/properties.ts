// Every fast-check property that names no number of runs gets that of the chosen depth.
import fc from 'fast-check';
import { runs } from './depth';

fc.configureGlobal({ numRuns: runs(100) });
