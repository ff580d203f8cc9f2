// A real broker, a real daemon and made-up batches whose readings it has heard, in a folder of their own.
import { execFileSync, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

const freePort = () => new Promise((resolve) => {
  const server = createServer().listen(0, '127.0.0.1', () => {
    const { port } = server.address();
    server.close(() => resolve(port));
  });
});

export async function until(what, condition, seconds = 60) {
  for (const end = Date.now() + seconds * 1000; Date.now() < end; await sleep(50)) {
    const value = await condition();
    if (value) return value;
  }
  throw new Error(`waited ${seconds} s in vain until ${what}`);
}

const quote = (text) => JSON.stringify(text);  // a TOML basic string, for what the tests put there

// batches: [{vessel, sensors, scenario, seed, name, pitched, until}], times as RFC 3339; `until` is when the last
// reading was taken. `token`: of the page; none when empty.
export class Cellar {
  constructor({ batches, token = '', display = {}, extraToml = '', daemonOptions = [] }) {
    Object.assign(this, { batches, token, display, extraToml, daemonOptions });
    this.folder = mkdtempSync(join(tmpdir(), 'gyle-page-'));
    this.daemonPath = process.env.GYLE_DAEMON;
    this.toolPath = process.env.GYLE_TOOL;
  }

  async start() {
    this.brokerPort = await freePort();
    this.port = await freePort();
    this.file('broker.conf', `listener ${this.brokerPort} 127.0.0.1\nallow_anonymous true\n`
      + 'max_inflight_messages 0\nmax_queued_messages 0\n'
      + (process.getuid() === 0 ? 'user root\n' : ''));
    const installed = '/usr/sbin/mosquitto';  // not in everybody's PATH
    this.broker = this.run(existsSync(installed) ? installed : 'mosquitto', ['-c', join(this.folder, 'broker.conf')]);
    const vessels = new Map(this.batches.map((b) => [b.vessel, b.sensors]));
    if (this.token) this.file('token', this.token, 0o600);
    this.file('gk.toml', `
[mqtt]
broker = "mqtt://127.0.0.1:${this.brokerPort}"
[storage]
database = "${this.folder}/journal.db"
[control]
socket = "${this.socket}"
[page]
listen = "127.0.0.1:${this.port}"
${this.token ? `token_file = "${this.folder}/token"` : ''}
[display]
${Object.entries({ time_zone: 'Europe/Berlin', ...this.display }).map(([k, v]) => `${k} = ${quote(v)}`).join('\n')}
[[source]]
topic = "cellar"
format = "senml"
${[...vessels].map(([name, sensors]) => `[[vessel]]\nname = ${quote(name)}\nsensors = [${sensors.map(quote)}]`).join('\n')}
${this.extraToml}
`);
    await this.startDaemon();
    for (const batch of this.batches) this.pitch(batch);
    if (this.batches.length > 0) await this.publish(this.batches.flatMap((batch) => this.packs(batch)).sort((a, b) => a.bt - b.bt));
    return this;
  }

  get socket() { return join(this.folder, 'control.sock'); }
  get url() { return `http://127.0.0.1:${this.port}`; }
  file(name, text, mode = 0o644) { writeFileSync(join(this.folder, name), text, { mode }); }
  run(program, args) {
    const child = spawn(program, args, { stdio: ['ignore', 'ignore', 'pipe'] });
    child.said = '';
    child.stderr.on('data', (part) => { child.said = (child.said + part).slice(-2000); });
    return child;
  }
  tool(...args) {
    return execFileSync(this.toolPath, ['--config', join(this.folder, 'gk.toml'), ...args], { encoding: 'utf8' });
  }

  async startDaemon() {
    this.daemon = this.run(this.daemonPath, ['--config', join(this.folder, 'gk.toml'), '--clock-follows-messages', ...this.daemonOptions]);
    await until('the daemon listens', async () => {
      if (this.daemon.exitCode !== null) throw new Error(`the daemon has ended: ${this.daemon.said}`);
      return (await this.ask('/v1/status').catch(() => null))?.daemon.broker_connected;
    });
  }
  async stopDaemon() {
    const ended = new Promise((resolve) => { this.daemon.once('exit', resolve); });
    this.daemon.kill();
    await ended;
  }

  pitch(batch) {
    const toml = join(this.folder, 'batch.toml');
    this.tool('rehearse', '--scenario', batch.scenario, '--seed', String(batch.seed ?? 1), '--pitched', batch.pitched,
      '--dry-run', '--quiet', '--write-batch', toml, '--write-readings', join(this.folder, 'readings.csv'));
    this.file('batch.toml', readFileSync(toml, 'utf8').replace(/^name = .*/, () => `name = ${quote(batch.name)}`));
    batch.csv = readFileSync(join(this.folder, 'readings.csv'), 'utf8');
    this.tool('pitch', '--vessel', batch.vessel, '--batch', toml);
  }

  // The readings up to batch.until, as SenML packs (RFC 8428); sensors[0] is the hydrometer, sensors[1] the probe.
  packs(batch) {
    const packs = new Map();
    const end = Date.parse(batch.until);
    for (const line of batch.csv.trim().split('\n').slice(1)) {
      const [time, sensor, quantity, value] = line.split(',');
      if (Date.parse(time) > end) continue;
      const name = batch.sensors[sensor === 'hydrometer' ? 0 : 1];
      const key = `${name} ${time}`;
      if (!packs.has(key)) packs.set(key, { bt: Date.parse(time) / 1000, name, records: [] });
      packs.get(key).records.push({ n: quantity, v: Number(value) });
    }
    return [...packs.values()];
  }

  // Returns when the daemon has heard them all.
  async publish(packs) {
    const pub = spawn('mosquitto_pub', ['-h', '127.0.0.1', '-p', String(this.brokerPort), '-q', '1', '-t', 'cellar', '-l'],
      { stdio: ['pipe', 'ignore', 'inherit'] });
    for (const { bt, name, records: [first, ...rest] } of packs) {
      pub.stdin.write(`${JSON.stringify([{ bn: `${name}:`, bt, ...first }, ...rest])}\n`);
    }
    pub.stdin.end();
    // What it knows already it does not count, so the end is when the newest has come and no more follows.
    const newest = Math.max(...packs.map((pack) => pack.bt)) * 1000 - 1;
    let counted = -1;
    await until('the daemon has heard the readings', async () => {
      const { daemon } = await this.ask('/v1/status');
      const quiet = daemon.readings === counted;
      counted = daemon.readings;
      if (!quiet) await sleep(300);
      return quiet && Date.parse(daemon.last_message ?? 0) >= newest;
    }, 120);
  }

  // One message; returns when the daemon has heard it.
  async publishText(topic, text) {
    const { daemon: before } = await this.ask('/v1/status');
    execFileSync('mosquitto_pub', ['-h', '127.0.0.1', '-p', String(this.brokerPort), '-q', '1', '-t', topic, '-m', text]);
    await until('the daemon has heard it', async () => {
      const { daemon } = await this.ask('/v1/status');
      return daemon.readings + daemon.refusals > before.readings + before.refusals;
    });
  }

  // A question by the control socket.
  ask(target) {
    return new Promise((resolve, reject) => {
      request({ socketPath: this.socket, path: target, headers: { host: 'localhost' } }, (answer) => {
        let body = '';
        answer.on('data', (part) => { body += part; }).on('end', () => resolve(JSON.parse(body)));
      }).on('error', reject).end();
    });
  }

  stop() {
    this.daemon?.kill('SIGKILL');
    this.broker?.kill('SIGKILL');
    rmSync(this.folder, { recursive: true, force: true });
  }
}
