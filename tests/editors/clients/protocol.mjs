// The protocol's own library drives `studbay lsp`: what it sends and takes is typed by LSP 3.17 itself.
//
//   node protocol.mjs PLAN.bay          $STUDBAY is the server
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import assert from 'node:assert/strict';
import rpc from 'vscode-languageserver-protocol/node.js';

const path = resolve(process.argv[2]);
const uri = pathToFileURL(path).href;
let text = readFileSync(path, 'utf8');
let version = 1;

const server = spawn(process.env.STUDBAY, ['lsp'], { stdio: ['pipe', 'pipe', 'inherit'] });
const ended = new Promise((done) => server.on('exit', done));
const connection = rpc.createProtocolConnection(new rpc.StreamMessageReader(server.stdout), new rpc.StreamMessageWriter(server.stdin));
let found = null;
let waiting = [];
connection.onNotification(rpc.PublishDiagnosticsNotification.type, (p) => {
  if (p.uri !== uri) return;
  found = p;
  for (const wake of waiting.splice(0)) wake();
});
connection.listen();

// The findings of the text as it stands now; notes are left out.
async function findings() {
  while (!found || found.version !== version) await new Promise((wake) => waiting.push(wake));
  return found.diagnostics.filter((d) => d.severity <= rpc.DiagnosticSeverity.Warning);
}

function place(offset) {
  const before = text.slice(0, offset).split('\n');
  return { line: before.length - 1, character: before.at(-1).length };
}

function offset(p) {
  return text.split('\n').slice(0, p.line).reduce((n, line) => n + line.length + 1, 0) + p.character;
}

// Changes of a text, from its end on, as a client makes them; then the server is told.
function apply(edits) {
  for (const e of [...edits].sort((a, b) => offset(b.range.start) - offset(a.range.start)))
    text = text.slice(0, offset(e.range.start)) + e.newText + text.slice(offset(e.range.end));
  connection.sendNotification(rpc.DidChangeTextDocumentNotification.type, {
    textDocument: { uri, version: ++version },
    contentChanges: [{ text }],
  });
}

function edits_of(edit) {
  const changes = edit.documentChanges ? edit.documentChanges.filter((c) => c.textDocument.uri === uri).flatMap((c) => c.edits) : edit.changes[uri];
  assert.ok(changes && changes.length);
  return changes;
}

const ask = (type, more) => connection.sendRequest(type, { textDocument: { uri }, ...more });
const at = (words, behind = 0) => ({ position: place(text.indexOf(words) + behind) });

const started = await connection.sendRequest(rpc.InitializeRequest.type, {
  processId: process.pid,
  rootUri: null,
  capabilities: {
    general: { positionEncodings: ['utf-16'] },
    textDocument: { publishDiagnostics: { relatedInformation: true, versionSupport: true }, codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: ['quickfix'] } } } },
    workspace: { workspaceEdit: { documentChanges: true } },
  },
});
assert.equal(started.capabilities.positionEncoding, 'utf-16');
await connection.sendNotification(rpc.InitializedNotification.type, {});
connection.sendNotification(rpc.DidOpenTextDocumentNotification.type, { textDocument: { uri, languageId: 'studbay', version, text } });

const wrong = await findings();
assert.equal(wrong.length, 1);
assert.equal(wrong[0].code, 'unknown-name');

const actions = await ask(rpc.CodeActionRequest.type, { range: wrong[0].range, context: { diagnostics: wrong } });
const mend = actions.find((a) => a.kind === 'quickfix' && a.edit);
assert.ok(mend, JSON.stringify(actions));
apply(edits_of(mend.edit));
assert.deepEqual(await findings(), []);

apply(edits_of(await ask(rpc.RenameRequest.type, { ...at('S1  south', 1), newName: 'S7' })));
assert.match(text, /box S7 {2}south/);
assert.match(text, /shed\.S7 -> L1/);
assert.deepEqual(await findings(), []);

const laid_out = text;
const kind = text.indexOf('  kind storage');
apply([{ range: { start: place(kind), end: place(kind + 14) }, newText: '     kind    storage' }]);
apply(await ask(rpc.DocumentFormattingRequest.type, { options: { tabSize: 2, insertSpaces: true } }));
assert.equal(text, laid_out);

const places = await ask(rpc.ReferencesRequest.type, { ...at('box S7', 5), context: { includeDeclaration: true } });
assert.equal(places.length, 2);
const hover = await ask(rpc.HoverRequest.type, at('-> shed.S7'));
assert.match(JSON.stringify(hover.contents), /14\/2/);
const symbols = await ask(rpc.DocumentSymbolRequest.type, {});
assert.ok(symbols.some((s) => s.name.includes('shed')));
const calls = await ask(rpc.CallHierarchyPrepareRequest.type, at('circuit P.1', 10));
assert.ok(calls.length);
const onward = await connection.sendRequest(rpc.CallHierarchyOutgoingCallsRequest.type, { item: calls[0] });
assert.ok(onward.some((c) => c.to.name.includes('S7')), JSON.stringify(onward));

await assert.rejects(ask(rpc.RenameRequest.type, { ...at('box S7', 5), newName: 'L1' }), (e) => e.code === rpc.ErrorCodes.InvalidRequest || e.code === rpc.LSPErrorCodes.RequestFailed || e.code === rpc.ErrorCodes.InvalidParams);

connection.sendNotification(rpc.DidCloseTextDocumentNotification.type, { textDocument: { uri } });
await connection.sendRequest(rpc.ShutdownRequest.type);
connection.sendNotification(rpc.ExitNotification.type);
assert.equal(await ended, 0);
console.log('protocol: opened, mended, renamed, typed, formatted, asked, closed');
