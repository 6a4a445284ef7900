#include "page_file.hpp"

#include <utility>

#include "bearingdsp/report/history.hpp"
#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/svg.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

// So that the page of a survey of hundreds of points can still be sent by mail.
constexpr std::size_t visits_a_chapter = 12;

Result<void> finish(OutputFile& file, const std::string& text) {
  if (auto done = file.write(text); !done) return done;
  return file.commit();
}

}  // namespace

void add_report_option(CLI::App& command, PageOptions& options, const std::string& group) {
  add_output_option(command, options.outputs, "--report", options.report,
                    "also write an HTML report with zoomable charts", group)
      ->type_name("FILE.html");
}

void add_picture_option(CLI::App& command, PageOptions& options, const std::string& group) {
  add_output_option(command, options.outputs, "--picture", options.picture, "also write the charts",
                    group)
      ->type_name("FILE.svg");
}

Result<PageFile> PageFile::create(const PageOptions& options,
                                  const std::vector<std::string>& also_read) {
  PageFile made;
  OutputFiles files{options.outputs, also_read};
  for (const auto& [path, file] :
       {std::pair{&options.report, &made.page_}, std::pair{&options.picture, &made.picture_}}) {
    if (path->empty()) continue;
    auto created = files.open(*path);
    if (!created) return created.error();
    *file = std::move(*created);
  }
  return made;
}

Result<void> PageFile::write(const Report& report, std::span<const Report> chapters) {
  if (picture_)
    if (auto done = finish(*picture_, to_svg(report)); !done) return done;
  if (page_)
    if (auto done = finish(*page_, to_html(report, chapters)); !done) return done;
  return {};
}

Result<void> PageFile::write(Report list, History& history,
                             const std::vector<Standing>& standings) {
  if (!wanted()) return {};
  std::vector<Report> chapters;
  for (const Standing& s : standings) {
    auto point = history.point(s.at);
    if (!point) return point.error();
    if (auto done = history.read_spectra(*point); !done) return done;
    chapters.push_back(trend_chapter(*point, s, visits_a_chapter));
  }
  lead_to_chapters(list, chapters);
  return write(list, chapters);
}

}  // namespace cli
