// The plant folder: what is typed once, and what each command takes from it.
#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"
#include "paths.hpp"
#include "support/close.hpp"

using test::Folder;
using test::has;
using test::Ran;
using test::run;
using test::run_on_terminal;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

/// Works in a folder while it lives.
class In {
 public:
  explicit In(const std::string& folder) : before_{fs::current_path()} { fs::current_path(folder); }
  ~In() { fs::current_path(before_); }
  In(const In&) = delete;
  In& operator=(const In&) = delete;

 private:
  fs::path before_;
};

/// A recording of a damaged outer ring whose full scale is 128 m/s2.
std::string damaged(const Folder& f, const std::string& name, const std::string& seed = "1") {
  f.write("plan.json", "{\"bits\": 16, \"range_m_s2\": 128}");
  return f.simulated(
      name, {"--plan", f.file("plan.json"), "--rpm", "1480", "--rate", "25600", "--duration", "4",
             "--noise", "0.5", "--defect", "outer:10", "--seed", seed});
}

void make_plant(const Folder& f) {
  const Ran made = run({"init", f.file("mill"), "--name", "Mill", "--mains", "50"});
  REQUIRE_MESSAGE(made.code == 0, made.err);
}

}  // namespace

TEST_CASE(
    "audio without full scale: the component, no levels, and where the figure is stated "
    "[src:simulated signal]") {
  const Folder f;
  const std::string wav = damaged(f, "fan.wav");
  for (const std::vector<std::string>& unit :
       {std::vector<std::string>{"--unit", "g"}, {"--sensitivity", "100"}, {}}) {
    std::vector<std::string> words{"diagnose", wav,    "--geometry", "9,7.94,39.04",
                                   "--rpm",    "1480", "--json"};
    words.insert(words.end(), unit.begin(), unit.end());
    const Ran r = run(words);
    CHECK(r.code == 1);
    const Json j = Json::parse(r.out);
    CHECK(j["place"] == "outer ring");
    bool said = false;
    for (const auto& finding : j["findings"])
      said = said || (finding["kind"] == "uncalibrated" &&
                      has(finding["advice"].get<std::string>(), "data sheet"));
    CHECK(said);
  }
  const Ran text =
      run({"diagnose", wav, "--geometry", "9,7.94,39.04", "--rpm", "1480", "--unit", "g"});
  CHECK(has(text.out, "outer ring"));
  CHECK(has(text.out, "no velocity: samples are fractions of full scale"));
  CHECK_FALSE(has(text.out, "the unit is not known"));
  CHECK_MESSAGE(has(text.err,
                    "the value of full scale is not known; give --unit and --full-scale: "
                    "the data sheet"),
                text.err);
}

TEST_CASE("a calibrator recording gives full scale or sensitivity [src:closed-form 10 m/s2 rms]") {
  const Folder f;
  std::string csv = "x\n";
  // 1 g rms at 100 mV/g is 0.1 V rms; a period of 64 samples at 10185.9 Hz is 159.15 Hz.
  for (int i = 0; i < 30000; ++i) {
    const double phase = 2 * 3.14159265358979 * i / 64;
    csv += std::to_string(0.141421356 * __builtin_sin(phase)) + "\n";
  }
  f.write("cal.csv", csv);
  const std::vector<std::string> words{
      "sensor", "calibrate",   f.file("cal.csv"), "--level", "1",       "--level-unit",
      "g",      "--frequency", "159.15",          "--rate",  "10185.6", "--json"};
  std::vector<std::string> volts = words;
  volts.insert(volts.end(), {"--unit", "V"});
  const Ran r = run(volts);
  REQUIRE_MESSAGE(r.code == 0, r.err);
  const Json j = Json::parse(r.out);
  CHECK(j["schema"] == "bearingdsp.calibration/1");
  CHECK(test::close_rel(j["sensitivity_mv_per_g"].get<double>(), 100, 1e-3));
  CHECK(test::close_rel(j["frequency_hz"].get<double>(), 159.15, 1e-4));
  // The same samples as audio: 0.1414 of full scale are 10 m/s2 rms, full scale is 100 m/s2.
  const Ran wav =
      run({"sensor", "calibrate", TESTDATA_DIR "/planer-feed/2026-05-11_DE_horizontal.wav"});
  CHECK(wav.code == 2);
  CHECK(has(wav.err, "contains no clean tone at 159.15 Hz"));
}

TEST_CASE("init makes a plant folder once, and refuses another on top [src:contract]") {
  const Folder f;
  make_plant(f);
  CHECK(fs::is_directory(f.file("mill/recordings")));
  CHECK(fs::is_directory(f.file("mill/reports")));
  CHECK(fs::exists(f.file("mill/history.db")));
  CHECK(has(f.read("mill/plant.toml"), "mains_hz = 50"));
  const std::string before = f.read("mill/plant.toml");
  const Ran again = run({"init", f.file("mill")});
  CHECK(again.code == 2);
  CHECK(has(again.err, "exists already"));
  CHECK(f.read("mill/plant.toml") == before);
  f.write("file", "");
  CHECK(run({"init", f.file("file")}).code == 2);
}

TEST_CASE("in a plant folder diagnose needs the recording alone [src:simulated signal]") {
  const Folder f;
  make_plant(f);
  const std::string wav = damaged(f, "mill/fan_2026-03-02.wav");
  const In here{f.file("mill")};
  CHECK(run({"sensor", "add", "recorder", "--unit", "m/s2", "--full-scale", "128"}).code == 0);
  const Ran added = run({"machine", "add", "fan", "--bearing", "6205", "--rpm", "1480", "--power",
                         "4", "--frame", "IEC 112M", "--mounting", "rigid"});
  REQUIRE_MESSAGE(added.code == 0, added.err);
  CHECK(has(added.out, "6205"));
  const Ran r = run({"diagnose", "fan_2026-03-02.wav"});
  CHECK(r.code == 1);
  CHECK_MESSAGE(has(r.out, "outer ring"), r.out);
  CHECK(has(r.out, "zone"));
  CHECK_MESSAGE(has(r.err,
                    "fan_2026-03-02.wav: from plant.toml: machine fan, point DE horizontal (by "
                    "its name), sensor recorder, mains 50 Hz"),
                r.err);
  // From a folder below, and with options, which win.
  {
    const In below{f.file("mill/recordings")};
    CHECK(has(run({"diagnose", "../fan_2026-03-02.wav"}).err, "from ../plant.toml: machine fan"));
    const Json j = Json::parse(run({"diagnose", "../fan_2026-03-02.wav", "--rpm", "1479", "--unit",
                                    "m/s2", "--full-scale", "64", "--json"})
                                   .out);
    const Json taken = Json::parse(run({"diagnose", "../fan_2026-03-02.wav", "--json"}).out);
    CHECK(test::close_rel(2 * j["figures"][0]["rms_in_unit"].get<double>(),
                          taken["figures"][0]["rms_in_unit"].get<double>(), 1e-6));
  }
  // A machine by name, where the file says nothing.
  fs::copy_file("fan_2026-03-02.wav", "rec1.wav");
  const Ran unknown = run({"diagnose", "rec1.wav"});
  CHECK(has(unknown.err, "rec1.wav: from plant.toml: sensor recorder, mains 50 Hz"));
  CHECK(has(run({"diagnose", "rec1.wav", "--machine", "fan"}).out, "outer ring"));
  CHECK(has(run({"diagnose", "rec1.wav", "--machine", "fun"}).err, "did you mean fan?"));
  f.write("mill/rec1.wav.toml", "machine = \"fan\"\nspeed_rpm = 1481\n");
  CHECK(has(run({"diagnose", "rec1.wav"}).err,
            "machine fan, point DE horizontal (by the file beside it), speed 1481 rpm"));
}

TEST_CASE("machine, route and sensor add keep the file and refuse what is wrong [src:contract]") {
  const Folder f;
  make_plant(f);
  const In here{f.file("mill")};
  f.write("mill/machines.toml",
          "# my remark\n[[machine]]\nname = \"saw\"  # loud\n"
          "[[machine.point]]\nend = \"DE\"\n");
  CHECK(run({"machine", "add", "fan", "--bearing", "6205", "--rpm", "1480", "--point",
             "DE horizontal", "--point", "NDE axial"})
            .code == 0);
  const std::string text = f.read("mill/machines.toml");
  CHECK(has(text, "# my remark\n[[machine]]\nname = \"saw\"  # loud\n"));
  CHECK(has(text, "name = \"NDE axial\"\nend = \"NDE\"\ndirection = \"axial\"\n"));
  for (const std::vector<std::string>& wrong :
       {std::vector<std::string>{"machine", "add", "fan", "--bearing", "6205"},
        {"machine", "add", "pump", "--bearing", "62O5x"},
        {"machine", "add", "pump", "--bearing", "6205", "--point", "front"},
        {"machine", "add", "pump", "--bearing", "6205", "--mounting", "soft"},
        {"machine", "add"},
        {"route", "add", "pump"},
        {"route", "add", "fan", "--files", "{day}.wav"},
        {"sensor", "add", "a", "--unit", "gg"},
        {"sensor", "add", "a", "--full-scale", "3"}}) {
    CAPTURE(wrong.back());
    const Ran r = run(wrong);
    CHECK(r.code == 2);
    CHECK(has(r.err, "bearingdsp: "));
  }
  CHECK(f.read("mill/machines.toml") == text);
  CHECK_FALSE(fs::exists(f.file("mill/route.toml")));
  CHECK_FALSE(has(f.read("mill/plant.toml"), "[[sensor]]\nname"));
  CHECK(run({"route", "add", "fan", "--point", "NDE axial"}).code == 0);
  CHECK(run({"route", "add", "saw", "--files", "saw/{date}.wav", "--load", "80"}).code == 0);
  CHECK(has(f.read("mill/route.toml"), "load_percent = 80"));
  CHECK(run({"sensor", "add", "a", "--unit", "g"}).code == 0);
  CHECK(run({"sensor", "add", "b", "--unit", "m/s2", "--default"}).code == 0);
  CHECK(has(f.read("mill/plant.toml"), "default_sensor = \"b\""));
  const Ran list = run({"machine", "list"});
  CHECK(has(list.out, "saw"));
  CHECK(has(list.out, "1480"));
  CHECK(has(run({"machine", "show", "fan"}).out, "NDE axial"));
  CHECK(run({"machine", "check"}).code == 0);
  // No other file stays behind.
  for (const auto& entry : fs::directory_iterator{f.file("mill")})
    CHECK_FALSE(has(entry.path().filename().string(), ".part"));
}

TEST_CASE("outside a plant folder the commands say how to make one [src:contract]") {
  const Folder f;
  const In here{f.file(".")};
  for (const std::vector<std::string>& words : {std::vector<std::string>{"machine", "list"},
                                                {"machine", "add", "fan"},
                                                {"route", "run"},
                                                {"route", "add", "fan"},
                                                {"sensor", "add", "a"},
                                                {"machine", "check"}}) {
    const Ran r = run(words);
    CHECK(r.code == 2);
    CHECK(has(r.err, "bearingdsp init"));
  }
  f.write("plant.toml", "mains = 50\n");
  f.write("a.csv", "x\n1\n2\n");
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"machine", "list"}, {"trend", "fan"}, {"diagnose", "a.csv"}}) {
    const Ran r = run(words);
    CHECK(r.code == 2);
    CHECK(has(r.err, "plant.toml:1: 'mains' is not a key of a plant"));
  }
}

TEST_CASE(
    "route run and trend take folder, route and store from the plant [src:simulated signal]") {
  const Folder f;
  make_plant(f);
  fs::create_directories(f.file("mill/recordings/fan"));
  (void)damaged(f, "mill/recordings/fan/2026-03-02.wav");
  (void)damaged(f, "mill/recordings/fan/2026-03-09.wav", "2");
  f.write("mill/recordings/fan/2026-03-09.wav.toml", "speed_rpm = 1478\nload_percent = 80\n");
  const In here{f.file("mill")};
  REQUIRE(run({"sensor", "add", "recorder", "--unit", "m/s2", "--full-scale", "128"}).code == 0);
  REQUIRE(run({"machine", "add", "fan", "--bearing", "6205", "--rpm", "1480"}).code == 0);
  const Ran r = run({"route", "run"});
  CHECK_MESSAGE(r.code == 1, r.err);
  CHECK(has(r.err, "from plant.toml: recordings recordings, route"));
  CHECK(has(r.out, "Outer ring"));
  CHECK(fs::file_size(f.file("mill/history.db")) > 0);
  const Ran trend = run({"trend", "fan", "--json"});
  CHECK(trend.code == 1);
  const Ran csv = run({"history", "export"});
  CHECK(has(csv.out, "2026-03-02"));
  CHECK(has(csv.out, "2026-03-09"));
  CHECK(has(csv.out, "rpm=1478"));
  CHECK(has(csv.out, "load_percent=80"));
  // Again: nothing to do, also for the one with a speed of its own.
  CHECK(has(run({"route", "run"}).out, "2 "));
  // A report without a folder goes into that of the plant.
  CHECK(run({"trend", "fan", "--report", "fan.html"}).code == 1);
  CHECK(fs::exists(f.file("mill/reports/fan.html")));
  CHECK_FALSE(fs::exists(f.file("mill/fan.html")));
}

TEST_CASE("recordings of one bearing together: the list and the trend say what the survey said") {
  const Folder f;
  make_plant(f);
  const In here{f.file("mill")};
  REQUIRE(run({"sensor", "add", "recorder", "--unit", "m/s2", "--full-scale", "128"}).code == 0);
  REQUIRE(run({"machine", "add", "fan", "--bearing", "6205", "--rpm", "1480", "--point",
               "DE horizontal", "--point", "DE vertical"})
              .code == 0);
  (void)damaged(f, "mill/recordings/fan_2026-03-02_DE-horizontal.wav");
  (void)damaged(f, "mill/recordings/fan_2026-03-02_DE-vertical.wav", "2");
  const Json survey = Json::parse(run({"route", "run", "--json"}).out);
  REQUIRE(survey["ends"].size() == 1);
  const Json list = Json::parse(run({"history", "list", "--json"}).out);
  CHECK(list["ends"] == survey["ends"]);
  CHECK(list["points"] == survey["points"]);
  const Json trend = Json::parse(run({"trend", "fan", "--point", "DE vertical", "--json"}).out);
  CHECK(trend["ends"] == survey["ends"]);
  for (const std::vector<std::string>& words : std::vector<std::vector<std::string>>{
           {"history", "list"}, {"trend", "fan", "--point", "DE horizontal"}}) {
    const Ran text = run(words);
    CHECK(has(text.out, "Recordings of one bearing together"));
    CHECK(has(text.out, "fan (DE): PLAN"));
  }
  // Elsewhere nothing says which points are at one bearing.
  const In away{f.file("")};
  const Ran apart = run({"history", "list", "--json", "--store", f.file("mill/history.db")});
  CHECK(Json::parse(apart.out)["ends"].empty());
}

TEST_CASE("every command says in one line what it took from the plant folder [src:contract]") {
  const Folder f;
  make_plant(f);
  (void)damaged(f, "mill/recordings/fan_2026-03-02.wav");
  (void)damaged(f, "mill/recordings/fan_2026-03-09.wav", "2");
  const In here{f.file("mill")};
  REQUIRE(run({"sensor", "add", "recorder", "--unit", "m/s2", "--full-scale", "128"}).code == 0);
  REQUIRE(run({"machine", "add", "fan", "--bearing", "6205", "--rpm", "1480", "--power", "4",
               "--frame", "IEC 112M", "--mounting", "rigid"})
              .code == 0);
  const std::string a = "recordings/fan_2026-03-02.wav";
  const std::string b = "recordings/fan_2026-03-09.wav";
  const std::string facts =
      "from plant.toml: machine fan, point DE horizontal (by its name), sensor recorder";

  const Ran inspected = run({"inspect", a});
  CHECK(inspected.code == 0);
  CHECK_MESSAGE(inspected.err == "bearingdsp: " + a + ": " + facts + "\n", inspected.err);
  // In m/s2 with the plant, in fractions of full scale without [src:closed-form factor 128].
  const auto rms = [](const Ran& r) {
    return Json::parse(r.out)["channels"][0]["rms_in_unit"].get<double>();
  };
  const double with_plant = rms(run({"inspect", a, "--json"}));
  {
    const In outside{f.file(".")};
    CHECK(test::close_rel(128 * rms(run({"inspect", "mill/" + a, "--json"})), with_plant, 1e-6));
  }
  const Ran compared = run({"compare", a, b});
  CHECK_MESSAGE(compared.code == 1, compared.err);
  CHECK_MESSAGE(has(compared.err, a + " and 1 more: " + facts + ", mains 50 Hz"), compared.err);
  CHECK(has(compared.out, "mm/s"));
  const Ran accepted = run({"acceptance", b});
  CHECK_MESSAGE(accepted.code == 1, accepted.err);
  CHECK_MESSAGE(has(accepted.err, b + ": " + facts), accepted.err);
  CHECK(has(accepted.out, "fan, DE horizontal"));

  const Ran surveyed = run({"route", "run", "-q"});
  CHECK(has(surveyed.err,
            "from plant.toml: recordings recordings, route plant.toml, store history.db"));
  const std::string store = "bearingdsp: from plant.toml: store history.db\n";
  for (const std::vector<std::string>& words : {std::vector<std::string>{"trend", "fan"},
                                                {"history", "list"},
                                                {"summary"},
                                                {"calendar"},
                                                {"export"}}) {
    CAPTURE(words.front());
    const Ran r = run(words);
    CHECK(r.code < 2);
    CHECK(r.err == store);
  }
  // What is typed is not taken.
  CHECK(run({"trend", "fan", "--store", "history.db"}).err.empty());
  const Ran replaced = run({"replacement", "--machine", "fan", "--end", "DE"});
  CHECK(replaced.err == "bearingdsp: from plant.toml: machine fan (machines.toml:1)\n");
  // Without a store a word that is not a file is a machine of the plant's history.
  const Ran history = run({"compare", "fan"});
  CHECK(has(history.err, "from plant.toml: store history.db"));
  CHECK(has(history.err, "bearing-replaced"));
}

TEST_CASE("recordings that are compared have to be of one point [src:contract]") {
  const Folder f;
  make_plant(f);
  (void)damaged(f, "mill/fan_a.wav");
  fs::copy_file(f.file("mill/fan_a.wav"), f.file("mill/saw_b.wav"));
  fs::copy_file(f.file("mill/fan_a.wav"), f.file("mill/new.wav"));
  const In here{f.file("mill")};
  for (const char* name : {"fan", "saw"})
    REQUIRE(run({"machine", "add", name, "--bearing", "6205", "--rpm", "1480"}).code == 0);
  const Ran two = run({"compare", "fan_a.wav", "saw_b.wav"});
  CHECK(two.code == 2);
  CHECK_MESSAGE(
      has(two.err, "saw_b.wav: is of saw, DE horizontal, but fan_a.wav of fan, DE horizontal"),
      two.err);
  CHECK(run({"compare", "fan_a.wav", "saw_b.wav", "--machine", "fan"}).code != 2);
  // A name that says nothing is of the point of the other.
  const Ran one = run({"compare", "fan_a.wav", "new.wav"});
  CHECK_MESSAGE(one.code != 2, one.err);
}

TEST_CASE("channels in several files are one recording for every command [src:simulated signal]") {
  const Folder f;
  const std::vector<std::string> signal{"--rpm",      "1480", "--rate",   "12800",
                                        "--duration", "2",    "--noise",  "0.5",
                                        "--seed",     "1",    "--defect", "outer:10"};
  const std::string x = f.simulated("x.csv", signal);
  const std::string y = f.simulated("y.csv", signal);
  const Ran inspected = run({"inspect", x, "--channels-from", y, "--unit", "m/s2", "--json"});
  CHECK_MESSAGE(inspected.code == 0, inspected.err);
  CHECK(Json::parse(inspected.out)["channels"].size() == 2);
  const std::vector<std::string> bearing{"--geometry", "9,7.94,39.04", "--rpm",
                                         "1480",       "--unit",       "m/s2"};
  const auto with = [&](std::vector<std::string> words) {
    words.insert(words.end(), bearing.begin(), bearing.end());
    return run(words);
  };
  const Ran accepted =
      with({"acceptance", x, "--channels-from", y, "--shaft-height", "90", "--json"});
  CHECK_MESSAGE(accepted.code != 2, accepted.err);
  const Ran compared =
      with({"compare", x, x, "--before-channels-from", y, "--after-channels-from", y, "--json"});
  CHECK_MESSAGE(compared.code != 2, compared.err);
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"inspect", x, y, "--channels-from", x},
        {"acceptance", x, y, "--channels-from", x}}) {
    const Ran r = run(words);
    CHECK(r.code == 2);
    CHECK(has(r.err, "this option takes one recording, but several are given"));
  }
}

TEST_CASE("on a terminal machine add asks for what is missing, and asks again [src:contract]") {
  const Folder f;
  make_plant(f);
  const In here{f.file("mill")};
  const Ran r = run_on_terminal({"machine", "add"},
                                "fan\nNDE vertical\n62O5x\n6205\n\n-3\n1480\n\n", f.file("out"));
  CHECK_MESSAGE(r.code == 0, r.err);
  CHECK(has(r.err, "Name of the machine"));
  CHECK(has(r.err, "'-3' is not a number above 0"));
  const std::string text = f.read("mill/machines.toml");
  CHECK(has(text, "name = \"fan\""));
  CHECK(has(text, "rated_rpm = 1480"));
  CHECK(has(text, "bearing.DE = { designation = \"6205\" }"));
  CHECK(has(text, "end = \"NDE\"\ndirection = \"vertical\""));
  // Ended by the end of the input (control-D): nothing is written.
  const Ran ended = run_on_terminal({"machine", "add", "saw"}, "\x04", f.file("out"));
  CHECK(ended.code == 2);
  CHECK(f.read("mill/machines.toml") == text);
}
