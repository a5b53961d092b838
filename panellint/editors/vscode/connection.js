"use strict";
// The Language Server Protocol over a process's standard input and output.

const { spawn } = require("child_process");

class Connection {
  constructor(command, args, options, onNotification, onEnd) {
    this.waiting = new Map();
    this.next = 1;
    this.buffer = Buffer.alloc(0);
    this.onNotification = onNotification;
    this.process = spawn(command, args, options);
    this.process.stdout.on("data", (data) => this.received(data));
    this.process.on("error", (error) => this.ended(error.message));
    this.process.on("exit", (code) => this.ended(`the server ended with status ${code}`));
    this.process.stdin.on("error", () => {}); // "exit" follows and says it
    this.onEnd = onEnd;
  }

  received(data) {
    this.buffer = Buffer.concat([this.buffer, data]);
    for (;;) {
      const split = this.buffer.indexOf("\r\n\r\n");
      if (split < 0) return;
      const length = Number(/content-length: *(\d+)/i.exec(this.buffer.toString("ascii", 0, split))[1]);
      const end = split + 4 + length;
      if (this.buffer.length < end) return;
      const message = JSON.parse(this.buffer.toString("utf8", split + 4, end));
      this.buffer = this.buffer.subarray(end);
      this.handle(message);
    }
  }

  handle(message) {
    if (message.method === undefined) {
      const answer = this.waiting.get(message.id);
      this.waiting.delete(message.id);
      if (answer && message.error) answer.reject(new Error(message.error.message));
      else if (answer) answer.resolve(message.result);
    } else {
      this.onNotification(message.method, message.params);
      if (message.id !== undefined) this.send({ id: message.id, result: null });
    }
  }

  send(message) {
    const body = Buffer.from(JSON.stringify({ jsonrpc: "2.0", ...message }), "utf8");
    this.process.stdin.write(`Content-Length: ${body.length}\r\n\r\n`);
    this.process.stdin.write(body);
  }

  notify(method, params) {
    this.send({ method, params });
  }

  // Asks; the answer is dropped where the editor no longer wants it.
  ask(method, params, token) {
    const id = this.next++;
    this.send({ id, method, params });
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject });
      if (token && token.onCancellationRequested) {
        token.onCancellationRequested(() => {
          if (!this.waiting.delete(id)) return;
          this.notify("$/cancelRequest", { id });
          resolve(null);
        });
      }
    });
  }

  ended(reason) {
    for (const { resolve } of this.waiting.values()) resolve(null);
    this.waiting.clear();
    if (this.onEnd) this.onEnd(reason);
    this.onEnd = null;
  }

  async stop() {
    this.onEnd = null;
    await Promise.race([this.ask("shutdown", null), new Promise((done) => setTimeout(done, 2000))]);
    this.notify("exit", null);
  }
}

module.exports = { Connection };
