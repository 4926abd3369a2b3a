// Installs the workbench of the end-to-end tests, so that it is there when they begin.
import { installWorkbench } from "./workbench.mjs";

installWorkbench();
