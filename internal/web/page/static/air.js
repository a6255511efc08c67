// The page of the air: the units can be changed without losing what is entered.

import * as units from "./units.js";

units.start();
