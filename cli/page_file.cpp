#include "page_file.hpp"

#include <utility>

#include "bearingdsp/report/history.hpp"
#include "bearingdsp/report/html.hpp"

namespace cli {
using namespace bearingdsp;

CLI::Option* add_report_option(CLI::App& command, std::string& path) {
  return command.add_option("--report", path, "also make a page with pictures to zoom into")
      ->type_name("FILE.html");
}

Result<PageFile> PageFile::create(const std::string& path) {
  PageFile page;
  if (path.empty()) return page;
  auto file = OutputFile::create(path, true);
  if (!file) return file.error();
  page.file_ = std::move(*file);
  return page;
}

Result<void> PageFile::write(const Report& report, std::span<const Report> chapters) {
  if (!file_) return {};
  if (auto done = file_->write(to_html(report, chapters)); !done) return done;
  return file_->commit();
}

Result<void> PageFile::write(Report list, History& history,
                             const std::vector<Standing>& standings) {
  if (!file_) return {};
  std::vector<Report> chapters;
  for (const Standing& s : standings) {
    const auto point = history.point(s.at);
    if (!point) return point.error();
    chapters.push_back(trend_chapter(*point, s));
  }
  lead_to_chapters(list, chapters);
  return write(list, chapters);
}

}  // namespace cli
