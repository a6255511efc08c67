// The page of a clip that is being measured: follows it and shows the result, or
// the reason why there is none, as soon as it is there.

import { follow } from "./send.js";

const says = document.getElementById("work-says"), bar = document.getElementById("work-bar");

follow(says.dataset.clip, (job) => {
  if (job.state === "running") {
    says.textContent = "Measuring";
    if (job.progress) bar.value = job.progress;
  }
}).catch(() => {}).finally(() => location.reload());
