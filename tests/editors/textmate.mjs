// Holds the scopes of the TextMate grammar against what the compiler makes of each word.
//
//   node textmate.mjs GRAMMAR TOKENS      TOKENS as tests/editors/tokens.c writes them
//
// Says each word that has another scope than its class asks for; fails if there is one.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import oniguruma from 'vscode-oniguruma';
import textmate from 'vscode-textmate';

const WANTED = {
  comment: /^comment\./,
  text: /^string\.quoted\./,
  length: /^constant\.numeric\.length\./,
  cable: /^constant\.other\.cable\./,
  lumber: /^constant\.other\.lumber\./,
  number: /^constant\.numeric\.studbay/,
  unit: /^keyword\.other\.unit\./,
  statement: /^keyword\.control\.statement\./,
  device: /^(support\.type\.device|keyword\.control\.statement)\./,
  key: /^(support\.type\.device|keyword|variable)\./,
  option: /^keyword\.other\.option\./,
  name: /^(variable\.other\.name|keyword\.other\.option)\./,
};

const wasm = readFileSync(createRequire(import.meta.url).resolve('vscode-oniguruma/release/onig.wasm'));
await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));
const registry = new textmate.Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  }),
  loadGrammar: () => textmate.parseRawGrammar(readFileSync(process.argv[2], 'utf8'), process.argv[2]),
});
const grammar = await registry.loadGrammar('source.studbay');

const files = new Map();
for (const row of readFileSync(process.argv[3], 'utf8').trimEnd().split('\n')) {
  const [, path, line, column, length, name] = /^(.*) (\d+) (\d+) (\d+) (\w+)$/.exec(row);
  if (!files.has(path)) files.set(path, []);
  files.get(path).push({ line: +line, column: +column, length: +length, name });
}

let faults = 0;
let asked = 0;
for (const [path, words] of files) {
  const lines = readFileSync(path).toString('latin1').split('\n'); // a byte is a character, as columns are counted
  let stack = textmate.INITIAL;
  let next = 0;
  lines.forEach((bytes, i) => {
    const text = Buffer.from(bytes.replace(/\r$/, ''), 'latin1').toString('utf8');
    const result = grammar.tokenizeLine(text, stack);
    stack = result.ruleStack;
    for (; next < words.length && words[next].line === i + 1; next++) {
      const word = words[next];
      const start = Buffer.from(bytes, 'latin1').subarray(0, word.column - 1).toString('utf8').length;
      const end = Buffer.from(bytes, 'latin1').subarray(0, word.column - 1 + word.length).toString('utf8').length;
      for (const t of result.tokens) {
        if (t.endIndex <= start || t.startIndex >= end) continue;
        asked++;
        if (!t.scopes.some((s) => WANTED[word.name].test(s)) && ++faults <= 40)
          console.log(`${path}:${word.line}:${word.column}: '${text.slice(start, end)}' is a ${word.name}, coloured as ${t.scopes.at(-1)}`);
      }
    }
  });
  if (next !== words.length) {
    console.log(`${path}: the list of words goes on behind its end`);
    faults++;
  }
}
console.log(`textmate: ${asked} words, ${faults} of another colour`);
process.exit(faults || !asked ? 1 : 0);
