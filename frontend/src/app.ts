/** Everything the browser runs: fragments by htmx, and what the house adds to them. */
import "htmx.org";
import { noticeSilence, sayOnlyOnce } from "./connection";
import { followFinding } from "./finding";
import { keepFolds } from "./folds";
import { printOnDemand } from "./printing";
import { sayWhatIsUnderThePointer } from "./readout";
import { switchTheme } from "./theme";
import { followTyping } from "./typing";
import { openWorkings } from "./workings";

switchTheme();
openWorkings();
keepFolds();
sayWhatIsUnderThePointer();
followTyping();
followFinding();
noticeSilence();
sayOnlyOnce();
printOnDemand();
