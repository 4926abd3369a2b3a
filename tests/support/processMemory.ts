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
