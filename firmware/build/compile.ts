// TypeScript to ES5 modules in memory, using the firmware's own tsconfig; this inlines const enums.
import { dirname, resolve } from 'node:path';
import type { Plugin } from 'rollup';
import ts from 'typescript';
import { BuildError } from './failure';
import { Singles } from './single';

/** One sentence per compiler message: file, line and what is wrong. */
function sentenceOf(diagnostic: ts.Diagnostic): string {
  const text = ts.flattenDiagnosticMessageText(diagnostic.messageText, ' ');
  if (!diagnostic.file || diagnostic.start === undefined) return text;
  const { line, character } = diagnostic.file.getLineAndCharacterOfPosition(diagnostic.start);
  return `${diagnostic.file.fileName}:${line + 1}:${character + 1} ${text}`;
}

function readConfig(configFile: string): ts.ParsedCommandLine {
  const { config, error } = ts.readConfigFile(configFile, ts.sys.readFile);
  const parsed = ts.parseJsonConfigFileContent(config ?? {}, ts.sys, dirname(configFile), { noEmit: false });
  const errors = error ? [error] : parsed.errors;
  if (errors.length > 0) throw new BuildError('The firmware settings are wrong', errors.map(sentenceOf));
  return parsed;
}

export interface Compiled {
  /** JavaScript text by TypeScript file name. */
  modules: Map<string, string>;
  /** Variables that the modules share but none of them declares (single.ts). */
  variables: string[];
}

/** A compiler host that returns each `text` for its `file`. */
function hostWith(replaced: Replaced[], options: ts.CompilerOptions): ts.CompilerHost {
  const texts = new Map(replaced.map(({ file, text }) => [file, text]));
  const host = ts.createCompilerHost(options);
  const read = host.readFile;
  const getSource = host.getSourceFile;
  host.readFile = (name) => texts.get(resolve(name)) ?? read(name);
  host.getSourceFile = (name, ...rest) => {
    const text = texts.get(resolve(name));
    return text === undefined ? getSource(name, ...rest) : ts.createSourceFile(name, text, rest[0]);
  };
  return host;
}

/** A source file compiled with a text other than the one on disk. */
export interface Replaced {
  file: string;
  text: string;
}

/**
 * Type-checks `entry`, everything it imports and the firmware's declaration files, and lowers them to ES5.
 * @throws BuildError with one line per compiler message.
 */
export function compile(configFile: string, entry: string, replaced: Replaced[]): Compiled {
  const { options, fileNames } = readConfig(configFile);
  const declarations = fileNames.filter((file) => file.endsWith('.d.ts'));
  const program = ts.createProgram([...declarations, entry], options, hostWith(replaced, options));
  const errors = ts.getPreEmitDiagnostics(program);
  if (errors.length > 0) throw new BuildError('The firmware does not compile', errors.map(sentenceOf));
  const modules = new Map<string, string>();
  const singles = new Singles(program);
  const take: ts.WriteFileCallback = (_name, text, _mark, _onError, sources) => {
    const source = sources?.[0];
    if (source) modules.set(resolve(source.fileName), text);
  };
  program.emit(undefined, take, undefined, undefined, { before: [singles.transformer] });
  return { modules, variables: singles.variables() };
}

/** Lets rollup read the modules `compile` made, under the names of their sources. */
export function compiledModules({ modules }: Compiled): Plugin {
  return {
    name: 'compiled-modules',
    resolveId(request, importer) {
      const path = importer ? resolve(dirname(importer), request) : resolve(request);
      for (const candidate of [path, `${path}.ts`]) if (modules.has(candidate)) return candidate;
      return null;
    },
    load: (id) => modules.get(id) ?? null,
  };
}
