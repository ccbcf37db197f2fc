// Whether there is an interpreter to test on: where there is none, such tests say so and are skipped.
import { interpreterCommand, NO_INTERPRETER } from '../support/interpreter';

export const hasInterpreter = interpreterCommand !== undefined;
if (!hasInterpreter) console.log(NO_INTERPRETER);
