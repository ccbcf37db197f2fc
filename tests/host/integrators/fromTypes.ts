// The shapes in host/api as JSON Schema, as TypeScript's own checker understands them: the types stay the one source.
import { readdirSync } from 'node:fs';
import { join, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

type Schema = Record<string, unknown>;

const ROOT = fileURLToPath(new URL('../../../', import.meta.url));
const API = join(ROOT, 'host', 'api');
const OWN = `${join(ROOT, 'host')}${sep}`;

class Shapes {
  readonly all = new Map<string, Schema>();
  private readonly symbols = new Map<string, ts.Symbol>();

  constructor(private readonly checker: ts.TypeChecker) {}

  /** Every exported type of a file. */
  read(source: ts.SourceFile): void {
    const symbol = this.checker.getSymbolAtLocation(source);
    if (!symbol) return;
    for (const one of this.checker.getExportsOfModule(symbol))
      if (one.flags & (ts.SymbolFlags.Interface | ts.SymbolFlags.TypeAlias))
        this.schema(this.checker.getDeclaredTypeOfSymbol(one));
  }

  /** By its name where it has one of ours; a name stands for one shape everywhere. */
  private schema(type: ts.Type): Schema {
    const symbol = this.nameOf(type);
    if (!symbol) return this.shape(type);
    const { name } = symbol;
    if ((this.symbols.get(name) ?? symbol) !== symbol)
      throw new Error(`Two types are called ${name}; give one another name.`);
    if (!this.all.has(name)) {
      this.symbols.set(name, symbol);
      this.all.set(name, {});
      this.all.set(name, { ...this.described(symbol), ...this.shape(type) });
    }
    return { $ref: `#/components/schemas/${name}` };
  }

  private nameOf(type: ts.Type): ts.Symbol | undefined {
    const isPlain = type.aliasTypeArguments === undefined;
    const symbol = type.aliasSymbol ?? (type.isClassOrInterface() ? type.symbol : undefined);
    const isOurs = symbol?.declarations?.some((one) => one.getSourceFile().fileName.startsWith(OWN));
    return isPlain && isOurs ? symbol : undefined;
  }

  private described(symbol: ts.Symbol): Schema {
    const words = ts.displayPartsToString(symbol.getDocumentationComment(this.checker));
    return words === '' ? {} : { description: words.replace(/\s+/g, ' ') };
  }

  private shape(type: ts.Type): Schema {
    if (type.flags & (ts.TypeFlags.Unknown | ts.TypeFlags.Any)) return {};
    if (type.isUnion()) return this.oneOf(type.types);
    if (type.isStringLiteral() || type.isNumberLiteral()) return { const: type.value };
    if (type.flags & ts.TypeFlags.BooleanLiteral)
      return { const: this.checker.typeToString(type) === 'true' };
    const simple = { String: 'string', Number: 'number', Boolean: 'boolean', Null: 'null' } as const;
    for (const [flag, name] of Object.entries(simple))
      if (type.flags & ts.TypeFlags[flag as keyof typeof simple]) return { type: name };
    if (this.checker.isArrayType(type))
      return {
        type: 'array',
        items: this.schema(this.checker.getTypeArguments(type as ts.TypeReference)[0]),
      };
    return this.object(type);
  }

  private object(type: ts.Type): Schema {
    const known = this.checker.getPropertiesOfType(type);
    const properties = known.map((one) => [
      one.name,
      { ...this.described(one), ...this.schema(this.checker.getTypeOfSymbol(one)) },
    ]);
    const required = known.filter(({ flags }) => !(flags & ts.SymbolFlags.Optional)).map(({ name }) => name);
    const index = this.checker.getIndexTypeOfType(type, ts.IndexKind.String);
    if (known.length === 0 && !index)
      throw new Error(`No JSON is like ${this.checker.typeToString(type)}; give it another shape.`);
    return {
      type: 'object',
      ...(known.length > 0 && { properties: Object.fromEntries(properties), required }),
      ...(index && { additionalProperties: this.schema(index) }),
    };
  }

  private oneOf(types: ts.Type[]): Schema {
    const isWord = (one: ts.Type): one is ts.LiteralType => one.isStringLiteral() || one.isNumberLiteral();
    const present = types.filter(({ flags }) => !(flags & ts.TypeFlags.Undefined));
    const isBoolean = ({ flags }: ts.Type): boolean => (flags & ts.TypeFlags.BooleanLiteral) !== 0;
    const words = present.filter(isWord);
    const truths = present.filter(isBoolean);
    const rest = present.filter((one) => !isWord(one) && !isBoolean(one));
    const all = [
      ...(words.length > 1
        ? [{ enum: words.map(({ value }) => value).sort() }]
        : words.map((one) => this.schema(one))),
      ...(truths.length > 1 ? [{ type: 'boolean' }] : truths.map((one) => this.schema(one))),
      ...rest.map((one) => this.schema(one)),
    ];
    return all.length === 1 ? all[0] : { anyOf: all };
  }
}

/** Every exported type of host/api, and those they are made of, by name. @throws Error for what JSON cannot hold */
export function schemasOfTypes(): Record<string, Schema> {
  const files = readdirSync(API).map((name) => join(API, name));
  const config = ts.readConfigFile(join(ROOT, 'tsconfig.json'), ts.sys.readFile).config as object;
  const { options } = ts.parseJsonConfigFileContent({ ...config, include: [], files }, ts.sys, ROOT);
  // The shapes need no browser and no Node, which take long to read.
  const program = ts.createProgram(files, { ...options, types: [], lib: ['lib.es2023.d.ts'] });
  const shapes = new Shapes(program.getTypeChecker());
  for (const file of files) shapes.read(program.getSourceFile(file)!);
  return Object.fromEntries([...shapes.all].sort(([a], [b]) => (a < b ? -1 : 1)));
}
