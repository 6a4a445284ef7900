#include "bearingdsp/dataset/manifest.hpp"

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "bearingdsp/history/hash.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

/// A folder that goes away with the test.
class Folder {
 public:
  explicit Folder(const std::string& name)
      : path_{std::filesystem::temp_directory_path() / ("bearingdsp_manifest_" + name)} {
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  void write(const std::string& file, const std::string& text) const {
    std::ofstream{path_ / file, std::ios::binary} << text;
  }
  [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }

 private:
  std::filesystem::path path_;
};

const std::string bearing_rows =
    "name,rolling_elements,element_diameter,pitch_diameter,contact_angle_deg,unit,source\n"
    "B9,9,0.3126,1.537,0,in,\"made, after a published geometry\"\n";
const std::string head = "dataset,file,signal,unit,rate_hz,rpm,bearing,fault,end,size,load,note\n";

}  // namespace

TEST_CASE(
    "csv: quotes, doubled quotes, line breaks in cells, CRLF, BOM, short rows [src:RFC 4180]") {
  const auto rows = parse_csv(
      "\xef\xbb\xbf"
      "a,\"b,\"\"c\"\"\",d\r\n\r\n1,\"two\nlines\",\n,\n\"\"\n",
      "t");
  REQUIRE(rows);
  REQUIRE(rows->size() == 4);
  CHECK((*rows)[0] == std::vector<std::string>{"a", "b,\"c\"", "d"});
  CHECK((*rows)[1] == std::vector<std::string>{"1", "two\nlines", ""});
  CHECK((*rows)[2] == std::vector<std::string>{"", ""});
  CHECK((*rows)[3] == std::vector<std::string>{""});
  CHECK(parse_csv("", "t")->empty());
}

TEST_CASE("csv: an open quote is refused with its line") {
  const auto rows = parse_csv("a,b\nc,\"d\ne,f\n", "t.csv");
  REQUIRE_FALSE(rows);
  CHECK(rows.error().code == Errc::corrupt_file);
  CHECK(rows.error().where == "t.csv:2");
}

TEST_CASE("csv: a cell written and read back is the same") {
  for (const std::string cell : {"plain", "a,b", "say \"x\"", "two\nlines", "", " blank "}) {
    const auto rows = parse_csv("x," + csv_cell(cell) + "\n", "t");
    REQUIRE(rows);
    CHECK(rows->at(0).at(1) == cell);
  }
}

TEST_CASE("signal cells: names, fields, columns with remarks, time") {
  CHECK(parse_signal("X105_DE_time").select == std::vector<std::string>{"X105_DE_time"});
  CHECK(parse_signal("bearing.gs").select == std::vector<std::string>{"bearing.gs"});
  const auto three = parse_signal("columns 2-4 (x y z), column 1 is time");
  CHECK(three.select == std::vector<std::string>{"2-4"});
  CHECK(three.time_column == "1");
  const auto two = parse_signal(
      "columns 5 (horizontal) and 6 (vertical); 1-4 are hour minute second microsecond");
  CHECK(two.select == std::vector<std::string>{"5", "6"});
  CHECK(two.time_column.empty());
  CHECK(parse_signal("column 3").select == std::vector<std::string>{"3"});
  CHECK(parse_signal("").select.empty());
}

TEST_CASE("unit cells: the first word, unknown is none") {
  CHECK(parse_unit("g") == "g");
  CHECK(parse_unit("V (MEMS accelerometer, about 0.9 V at 0 g)") == "V");
  CHECK(parse_unit("unknown").empty());
  CHECK(parse_unit("").empty());
}

TEST_CASE(
    "manifest: records in order, orders from the bearing beside it, wildcards left out "
    "[src:smith2015 multiples, confirmed]") {
  const Folder folder{"read"};
  folder.write("bearings.csv", bearing_rows);
  folder.write("manifest.csv",
               head +
                   "d,a/1.mat,x,g,12000,1796.5,B9,inner ring,DE,,,\n"
                   "d,a/run_*.csv,columns 5,g,25600,1800,B9,run to failure,,,,\n"
                   "d,2.csv,\"columns 2-4 (x y z), column 1 is time\",unknown,,,,none,,,,n\n");
  const auto m = read_manifest(folder.file("manifest.csv"));
  REQUIRE(m);
  REQUIRE(m->records.size() == 2);
  REQUIRE(m->notes.size() == 1);
  CHECK(m->notes[0].find("run_*.csv") != std::string::npos);
  const LabelledRecord& r = m->records[0];
  CHECK(r.path == folder.file("a/1.mat"));
  CHECK(r.rate == Hz{12000});
  CHECK(r.speed == Rpm{1796.5});
  CHECK(r.label == "inner ring");
  REQUIRE(r.orders);
  // Published multiples: BPFI 5.4152, BPFO 3.5848, FTF 0.39828, rolling element 4.7135 = 2 x BSF.
  CHECK(test::close_abs(r.orders->bpfi.value(), 5.4152, 5e-5));
  CHECK(test::close_abs(r.orders->bpfo.value(), 3.5848, 5e-5));
  CHECK(test::close_abs(r.orders->ftf.value(), 0.39828, 5e-5));
  CHECK(test::close_abs(2 * r.orders->bsf.value(), 4.7135, 5e-4));
  CHECK(r.orders->source == "made, after a published geometry");
  CHECK_FALSE(m->records[1].rate);
  CHECK_FALSE(m->records[1].speed);
  CHECK_FALSE(m->records[1].orders);
  CHECK(m->records[1].signal.time_column == "1");
}

TEST_CASE("manifest: each fault of the files is named") {
  const Folder folder{"bad"};
  CHECK(read_manifest(folder.file("manifest.csv")).error().code == Errc::io);
  CHECK(read_manifest(folder.file("")).error().code == Errc::io);
  folder.write("manifest.csv", head + "d,f,x,g,fast,1800,B9,none,,,,\n");
  CHECK(read_manifest(folder.file("manifest.csv")).error().code == Errc::io);  // no bearings.csv
  folder.write("bearings.csv", bearing_rows);
  const auto number = read_manifest(folder.file("manifest.csv"));
  REQUIRE_FALSE(number);
  CHECK(number.error().what == "'fast' in column 'rate_hz' is not a number");
  folder.write("manifest.csv", head + "d,f,x,g,1000,1800,B10,none,,,,\n");
  const auto bearing = read_manifest(folder.file("manifest.csv"));
  REQUIRE_FALSE(bearing);
  CHECK(bearing.error().code == Errc::not_found);
  folder.write("manifest.csv", "dataset,file,signal,fault\n");
  CHECK(read_manifest(folder.file("manifest.csv")).error().what == "no column 'bearing'");
  folder.write("manifest.csv", "");
  CHECK(read_manifest(folder.file("manifest.csv")).error().code == Errc::corrupt_file);
  folder.write("manifest.csv", head);
  folder.write("bearings.csv", bearing_rows + "bad,9,2,1,0,mm,d above D\n");
  CHECK(read_manifest(folder.file("manifest.csv")));  // a bad row that nobody uses does no harm
  folder.write("manifest.csv", head + "d,f,x,g,1000,1800,bad,none,,,,\n");
  const auto geometry = read_manifest(folder.file("manifest.csv"));
  REQUIRE_FALSE(geometry);
  CHECK(geometry.error().where == folder.file("manifest.csv") + ", recording 1");
  CHECK(geometry.error().what.find("bearings.csv, bearing 2, 'bad'") != std::string::npos);
}

TEST_CASE("labels are the words of token(Place)") {
  CHECK(from_token<Place>("none") == Place::none);
  CHECK(from_token<Place>("rolling element") == Place::rolling_element);
  CHECK(from_token<Place>("place unclear") == Place::unclear);
  CHECK_FALSE(from_token<Place>("run to failure"));
  CHECK_FALSE(from_token<Place>("failed"));
}

TEST_CASE(
    "manifest: tacho, pulses, split and checksum, another file than the labelled one is refused") {
  const Folder folder{"more_columns"};
  folder.write("bearings.csv", bearing_rows);
  std::string samples = "x,tacho\n";
  for (int i = 0; i < 64; ++i) samples += std::to_string(i % 7) + ",0\n";
  folder.write("a.csv", samples);
  folder.write("b.csv", samples);
  const auto hash = sha256_of_file(folder.file("a.csv"));
  REQUIRE(hash);
  const std::string columns =
      "dataset,file,signal,rate_hz,bearing,fault,split,sha256,tacho,pulses_per_revolution\n";
  folder.write("manifest.csv", columns + "m,a.csv,x,100,B9,none,tuning," + *hash + ",tacho,4\n" +
                                   "m,b.csv,x,100,B9,none,apart," + std::string(64, '0') + ",,\n");
  const auto manifest = read_manifest(folder.file("manifest.csv"));
  REQUIRE(manifest);
  const LabelledRecord& first = manifest->records[0];
  CHECK(first.split == "tuning");
  CHECK(first.pulses_per_revolution == 4);
  const auto capture = read_record(first);
  REQUIRE(capture);
  REQUIRE(capture->channels.size() == 2);
  CHECK(capture->channels[1].name == "tacho");
  const auto other = read_record(manifest->records[1]);
  REQUIRE_FALSE(other);
  CHECK(other.error().code == Errc::corrupt_file);
  CHECK(other.error().what == "does not match the checksum in the manifest");

  const auto apart = of_split(*manifest, "apart");
  REQUIRE(apart);
  CHECK(apart->records.size() == 1);
  const auto none = of_split(*manifest, "no such");
  REQUIRE_FALSE(none);
  CHECK(none.error().advice == "there are: 'tuning', 'apart'");

  folder.write("manifest.csv", columns + "m,a.csv,x,100,B9,none,,,tacho,0\n");
  CHECK_FALSE(read_manifest(folder.file("manifest.csv")));
}

namespace {

/// What is said of a manifest of this header and these rows.
Error refused(const Folder& folder, const std::string& header, const std::string& rows) {
  folder.write("bearings.csv", bearing_rows);
  folder.write("manifest.csv", header + rows);
  const auto manifest = read_manifest(folder.file("manifest.csv"));
  return manifest ? Error{Errc::internal, "", "accepted", ""} : manifest.error();
}

}  // namespace

TEST_CASE("manifest: a misspelt optional column is refused, not left out") {
  const Folder folder{"misspelt"};
  for (const auto& [written, meant] :
       {std::pair{"rmp", "rpm"}, std::pair{"speed_rpm", "rpm"}, std::pair{"rate", "rate_hz"},
        std::pair{"Sample Rate", "rate_hz"}, std::pair{"splt", "split"},
        std::pair{"tach", "tacho"}}) {
    const Error error =
        refused(folder, std::string{"dataset,file,signal,bearing,fault,"} + written + "\n", "");
    CHECK(error.code == Errc::corrupt_file);
    CHECK(error.where == folder.file("manifest.csv") + ":1");
    CHECK(error.what == std::string{"unknown column '"} + written + "'");
    CHECK(error.advice == std::string{"did you mean '"} + meant + "'? Rename it");
  }
  // Case does not matter, and columns of another kind are the user's own.
  folder.write("manifest.csv",
               "Dataset,FILE,signal,bearing,fault,RPM,note,load\nd,f,x,,none,900,,\n");
  const auto manifest = read_manifest(folder.file("manifest.csv"));
  REQUIRE(manifest);
  CHECK(manifest->records.at(0).speed == Rpm{900});
  CHECK(refused(folder, "dataset,file,signal,bearing,fault,rpm,RPM\n", "").what ==
        "column 'rpm' is there twice");
}

TEST_CASE("manifest: labels in other words are understood, and slips are refused") {
  const Folder folder{"labels"};
  folder.write("bearings.csv", bearing_rows);
  const std::vector<std::pair<std::string, std::string>> words{
      {"Outer Ring", "outer ring"},   {"outer race", "outer ring"}, {"inner_race", "inner ring"},
      {"ball", "rolling element"},    {"Healthy", "none"},          {"normal", "none"},
      {"OUTER RACEWAY", "outer ring"}};
  std::string rows;
  for (std::size_t i = 0; i < words.size(); ++i)
    rows += "d," + std::to_string(i) + ",x,g,,,B9," + words[i].first + ",,,,\n";
  folder.write("manifest.csv", head + rows);
  const auto manifest = read_manifest(folder.file("manifest.csv"));
  REQUIRE(manifest);
  CHECK(manifest->notes.empty());
  REQUIRE(manifest->records.size() == words.size());
  for (std::size_t i = 0; i < words.size(); ++i)
    CHECK(manifest->records[i].label == words[i].second);

  const Error slip = refused(folder, head, "d,f,x,g,,,B9,outter ring,,,,\n");
  CHECK(slip.where == folder.file("manifest.csv") + ", recording 1");
  CHECK(slip.advice == "did you mean 'outer ring'?");
  CHECK(refused(folder, head, "d,f,x,g,,,B9,,,,,\n").what == "the cell 'fault' is empty");
}

TEST_CASE("manifest: a recording counts once, and each error names its recording") {
  const Folder folder{"twice"};
  const std::string one = "d,a.mat,x,g,,,B9,none,,,,\n";
  const Error twice = refused(
      folder, head, one + "d,b.mat,x,g,,,B9,none,,,,\n" + "d,./a.mat,x,g,,,B9,inner ring,,,,\n");
  CHECK(twice.where == folder.file("manifest.csv") + ", recording 3");
  CHECK(twice.what == "'./a.mat' is the same recording as recording 1 and would count twice");
  CHECK(refused(folder, head, one + "d,a.mat,y,g,,,B9,none,,,,\n").what == "accepted");
  const std::string hash(64, 'a');
  CHECK(refused(folder, "dataset,file,signal,bearing,fault,sha256\n",
                "d,a,x,,none," + hash + "\nd,b,x,,none," + hash + "\n")
            .where == folder.file("manifest.csv") + ", recording 2");
  for (const std::string row : {"d,f,x,g,-1,1800,B9,none,,,,\n", "d,f,x,g,1000,0,B9,none,,,,\n",
                                "d,,x,g,1000,900,B9,none,,,,\n"})
    CHECK(refused(folder, head, one + row).where == folder.file("manifest.csv") + ", recording 2");
  folder.write("bearings.csv", bearing_rows + "B9,8,10,40,0,mm,made\n");
  folder.write("manifest.csv", head + one);
  CHECK(read_manifest(folder.file("manifest.csv")).error().what == "'B9' is listed twice");
}
