#include "page_file.hpp"

#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <string_view>
#include <system_error>
#include <tuple>
#include <utility>

#include "bearingdsp/report/history.hpp"
#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/svg.hpp"
#include "chromium.hpp"
#include "plant.hpp"
#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

// So that the page of a survey of hundreds of points can still be sent by mail.
constexpr std::size_t visits_a_chapter = 12;

bool ends_with(const std::string& path, std::string_view ending) {
  return CLI::detail::to_lower(path).ends_with(ending);
}

/// Opened first: an output that is an input is refused for that, whatever its ending.
Result<ShownFile> open_as(OutputFiles& files, const std::string& path,
                          std::array<std::string_view, 2> plain, std::string_view made) {
  auto file = files.open(path);
  if (!file) return file.error();
  ShownFile shown{std::move(*file)};
  if (ends_with(path, plain.front()) || ends_with(path, plain.back())) return shown;
  if (!ends_with(path, made))
    return Error{Errc::bad_argument, path, "does not end in a known format",
                 fmt::format("write to a name that ends in {} or {}", plain.front(), made)};
  auto chromium = find_chromium(path);
  if (!chromium) return chromium.error();
  shown.chromium = std::move(*chromium);
  shown.pdf = made == ".pdf";
  return shown;
}

}  // namespace

void add_report_option(CLI::App& command, PageOptions& options, const std::string& group) {
  add_output_option(command, options.outputs, "--report", options.report,
                    "also write a report: .html with zoomable charts, or .pdf (with Chromium)",
                    group)
      ->type_name("FILE");
}

void add_picture_option(CLI::App& command, PageOptions& options, const std::string& group) {
  add_output_option(command, options.outputs, "--picture", options.picture,
                    "also write the charts: .svg, or .png (with Chromium)", group)
      ->type_name("FILE");
}

Result<ShownFile> open_page(OutputFiles& files, const std::string& path) {
  return open_as(files, path, {".html", ".htm"}, ".pdf");
}

Result<ShownFile> open_picture(OutputFiles& files, const std::string& path) {
  return open_as(files, path, {".svg", ".svg"}, ".png");
}

Result<void> ShownFile::write(const std::string& text) {
  if (chromium.empty()) {
    if (auto done = file.write(text); !done) return done;
    return file.commit();
  }
  const auto made = pdf ? pdf_of(chromium, text) : png_of(chromium, text);
  if (!made) return made.error();
  if (auto done = file.write(*made); !done) return done;
  return file.commit();
}

namespace {

/// A report without a folder goes into that of the plant, if it has one.
Result<std::string> report_path(const std::string& path) {
  if (path.empty() || path.find('/') != std::string::npos) return path;
  const auto plant = plant_here();
  if (!plant) return plant.error();
  if (!*plant || (*plant)->reports.empty()) return path;
  std::string full = (*plant)->reports + "/" + path;
  std::error_code code;
  std::filesystem::create_directories((*plant)->reports, code);
  print_note(fmt::format("report: {}", full));
  return full;
}

}  // namespace

Result<PageFile> PageFile::create(const PageOptions& options,
                                  const std::vector<std::string>& also_read) {
  PageFile made;
  OutputFiles files{options.outputs, also_read};
  const auto report = report_path(options.report);
  if (!report) return report.error();
  for (const auto& [path, file, open_one] :
       {std::tuple{&*report, &made.page_, &open_page},
        std::tuple{&options.picture, &made.picture_, &open_picture}}) {
    if (path->empty()) continue;
    auto created = open_one(files, *path);
    if (!created) return created.error();
    *file = std::move(*created);
  }
  return made;
}

Result<void> PageFile::write(const Report& report, std::span<const Report> chapters) {
  if (picture_)
    if (auto done = picture_->write(to_svg(report)); !done) return done;
  if (page_)
    if (auto done = page_->write(to_html(report, chapters)); !done) return done;
  return {};
}

Result<void> PageFile::write_sheet(const std::string& html) {
  return page_ ? page_->write(html) : Result<void>{};
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
