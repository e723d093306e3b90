#include "tools/workbench/sample_day.h"

#include <ctime>
#include <string>
#include <system_error>

#include "libkinetics/core/calendar.h"
#include "libkinetics/logbook/whole_file.h"
#include "libkinetics/sheet/sheet.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

constexpr const char* kSheet = "speed_day.csv";

void bring(const fs::path& from, const fs::path& to) {
  (void)write_whole_file(to, text_in(from), IfPresent::kKeep);
}

}  // namespace

fs::path samples_folder() {
  std::error_code failed;
  const fs::path program = fs::read_symlink("/proc/self/exe", failed);
  const fs::path installed = program.parent_path().parent_path() / KINETICS_SAMPLES_INSTALLED;
  for (const fs::path& folder : {installed, fs::path(KINETICS_SAMPLES_SOURCE)}) {
    if (fs::exists(folder / "club" / kSheet, failed)) return folder;
  }
  return {};
}

std::vector<JobRequest> copy_sample_day(const fs::path& samples, const Folder& folder) {
  bring(samples / "club" / "northgate.toml", folder.roster());
  bring(samples / "club" / kSheet, folder.sheets() / kSheet);
  std::vector<JobRequest> jobs;
  for (const SheetRow& row : read_sheet((samples / "club" / kSheet).string()).rows) {
    const fs::path clip = samples / "clips" / row.clip;
    std::error_code failed;
    if (row.clip.empty() || !fs::exists(clip, failed)) continue;
    bring(clip, folder.recordings() / row.clip);
    JobRequest job;
    job.clip = job.title = row.clip;
    job.day = local_day(std::time(nullptr));  // as if it were lifted today
    job.set = {{"sheet", kSheet}, {"row", row.row}};
    const std::string log = fs::path(row.clip).stem().string() + ".csv";
    if (fs::exists(samples / "logs" / log, failed)) {
      bring(samples / "logs" / log, folder.recordings() / log);
      job.log = log;
      job.title += " with " + log;
    }
    jobs.push_back(std::move(job));
  }
  return jobs;
}

}  // namespace kinetics::workbench
