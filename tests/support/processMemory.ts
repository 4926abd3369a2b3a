import { existsSync, readFileSync } from "node:fs";

/** Whether the system tells how much memory a process has. Source: proc_pid_status(5), VmRSS. */
export const tellsMemory = existsSync("/proc/self/status");

/** The memory that a process has of the machine's, in megabytes of 10^6 bytes. Only where `tellsMemory`. */
export function residentMegabytes(processId: number): number {
  const status = readFileSync(`/proc/${processId}/status`, "utf8");
  const kibibytes = Number(/^VmRSS:\s+(\d+) kB$/m.exec(status)?.[1]);
  return (kibibytes * 1024) / 1e6;
}

/** The most memory that a process has ever had, in megabytes of 10^6 bytes. Only where `tellsMemory`. Source: VmHWM there. */
export function peakMegabytes(processId: number): number {
  const status = readFileSync(`/proc/${processId}/status`, "utf8");
  const kibibytes = Number(/^VmHWM:\s+(\d+) kB$/m.exec(status)?.[1]);
  return (kibibytes * 1024) / 1e6;
}

/** Ticks of the clock in a second, as this file counts. Source: proc_pid_stat(5), sysconf(3); 100 on all of today's Linux, from memory. */
const ticksPerSecond = 100;

/** The processor time that all threads of a process have taken, in milliseconds, in steps of ten. Only where `tellsMemory`. */
export function processorMs(processId: number): number {
  const stat = readFileSync(`/proc/${processId}/stat`, "utf8");
  // The name of the program comes second, in parentheses, and may hold blanks.
  const fields = stat.slice(stat.lastIndexOf(")") + 2).split(" ");
  const [userTicks, systemTicks] = [fields[11], fields[12]].map(Number) as [number, number];
  return ((userTicks + systemTicks) * 1000) / ticksPerSecond;
}
