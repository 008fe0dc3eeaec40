// Starts `studbay lsp` for plans, and ends it with the window.
const { workspace } = require('vscode');
const { LanguageClient } = require('vscode-languageclient/node');

let client;

exports.activate = () => {
  const command = workspace.getConfiguration('studbay').get('path');
  client = new LanguageClient(
    'studbay',
    'studbay',
    { command, args: ['lsp'] },
    {
      documentSelector: [{ scheme: 'file', language: 'studbay' }],
      synchronize: { fileEvents: workspace.createFileSystemWatcher('**/*.{bay,log}') },
    },
  );
  return client.start();
};

exports.deactivate = () => client && client.stop();
