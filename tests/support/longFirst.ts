// The order of test files: the long ones first, so that the workers finish together.
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** A sequencer that begins with the files of which `isLong` is true. */
export function longFirst(isLong: (file: TestSpecification) => boolean): typeof BaseSequencer {
  return class extends BaseSequencer {
    override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
      const sorted = await super.sort(files);
      return [...sorted.filter(isLong), ...sorted.filter((file) => !isLong(file))];
    }
  };
}
