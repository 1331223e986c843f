import { parseSync, Visitor } from 'vite';

export interface Reference {
  /** As written: './x.ts', 'preact'. Null if it isn't a plain string. */
  readonly target: string | null;
}

export interface References {
  readonly references: readonly Reference[];
  /** Names used that a pure room must do without: 'Date', 'Math.random'. */
  readonly used: ReadonlySet<string>;
  /** True for a file that has nothing of its own and only re-exports. */
  readonly onlyPassesOn: boolean;
}

type Written = { readonly type: string; readonly value?: unknown } | null | undefined;

/**
 * Every way in which a source file can reach for another: imports, re-exports, types by import(), dynamic
 * imports, and new URL('./x', import.meta.url) for workers and assets.
 *
 * @throws Error if the source can't be parsed
 */
export function referencesOf(file: string, source: string): References {
  const { program, errors } = parseSync(file, source);
  if (errors.length > 0) throw new Error(`${file}: ${errors[0]?.message}`);
  const references: Reference[] = [];
  const used = new Set<string>();
  const add = (written: Written) =>
    references.push({ target: typeof written?.value === 'string' ? written.value : null });

  new Visitor({
    ImportDeclaration: (node) => add(node.source),
    ExportAllDeclaration: (node) => add(node.source),
    ExportNamedDeclaration: (node) => {
      if (node.source) add(node.source);
    },
    ImportExpression: (node) => add(node.source),
    TSImportType: (node) => add(node.source),
    TSExternalModuleReference: (node) => add(node.expression),
    NewExpression: (node) => {
      const [target, base] = node.arguments;
      const isUrl = node.callee.type === 'Identifier' && node.callee.name === 'URL';
      if (isUrl && base && source.slice(base.start, base.end) === 'import.meta.url') add(target);
    },
    Identifier: (node) => used.add(node.name),
    MemberExpression: (node) => used.add(source.slice(node.start, node.end)),
  }).visit(program);

  const passesOn = program.body.filter(
    (statement) =>
      statement.type === 'ExportAllDeclaration' ||
      (statement.type === 'ExportNamedDeclaration' && statement.source !== null),
  );
  return {
    references,
    used,
    onlyPassesOn: program.body.length > 0 && passesOn.length === program.body.length,
  };
}
