// A mutant must be judged by the same examples every time.
import fc from 'fast-check';

fc.configureGlobal({ seed: 20260101 });
