// The use cases of lights, scenes, glazings and viewers, and what a judgement is asked.
#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/files.h"
#include "core/nearest_name.h"
#include "core/numbers.h"
#include "core/said.h"
#include "measure/lamp.h"
#include "measure/read.h"
#include "measure/tones.h"
#include "picture/lightness.h"
#include "studio/studio.h"

namespace greywright::studio {
namespace {

// A living room, an office, a window, a gallery, a hall: where prints hang.
constexpr const char* kUsualScenes[] = {"living-room", "office", "north-window", "gallery", "hall"};

// With less than this of a light's power in the visible nobody sees a print.
constexpr double kLeastLuminous = 1e-4;

constexpr double kMostLux = 1e6;

constexpr std::size_t kMostViewers = 1'000'000;

Error wrong(const char* code, std::string what, std::string next) {
    return {.kind = ErrorKind::wrongUse,
            .code = code,
            .what = std::move(what),
            .where = {},
            .next = std::move(next)};
}

/// `--light` names lights and scenes alike, so no two of them may share a name.
Outcome isFree(const std::string& name, bool takenByOther, std::string_view other) {
    if (Catalogue::isShipped(name)) {
        return wrong("name-shipped", said("'{}' is the name of a light or scene that ships", name),
                     said("Choose another name"));
    }
    if (takenByOther) {
        return wrong("name-taken", said("the book has a {} of the name '{}'", other, name),
                     said("Choose another name"));
    }
    return Done{};
}

Outcome mayGo(bool ships, const std::string& name) {
    if (!ships) return Done{};
    return wrong("name-shipped", said("'{}' ships with the program and stays", name),
                 said("Only the studio's own can be removed"));
}

Result<std::optional<judge::NoticeOptions>> viewersOf(const ViewerRequest& request,
                                                      const Catalogue& catalogue) {
    if (request.count == 0) return std::optional<judge::NoticeOptions>{};
    const auto invalid = [](std::string what, std::string next) {
        return wrong("viewers-invalid", std::move(what), std::move(next));
    };
    judge::NoticeOptions options;
    options.population = {.count = request.count,
                          .youngestYears = request.youngestYears,
                          .oldestYears = request.oldestYears,
                          .fieldDegrees = request.fieldDegrees,
                          .seed = request.seed};
    if (request.count > kMostViewers)
        return invalid(said("{} viewers are too many", request.count), said("Ask for a million at most"));
    if (!request.named.empty()) {
        auto viewer = catalogue.viewer(request.named);
        if (!viewer) return std::move(viewer).error();
        // The age is known, the rest of the eye is not: many such people, with this one's thresholds where a
        // panel has told them.
        options.population.youngestYears = options.population.oldestYears = viewer->ageYears;
        options.population.fieldDegrees = viewer->fieldDegrees;
        if (viewer->thresholdBeside || viewer->thresholdAlone) {
            options.assumptions.betweenPeople = 0;
            options.assumptions.perDoublingOfAge = 1;
        }
        if (viewer->thresholdBeside) options.assumptions.thresholdBeside = *viewer->thresholdBeside;
        if (viewer->thresholdAlone) options.assumptions.thresholdAlone = *viewer->thresholdAlone;
    }
    const colour::Population& people = options.population;
    if (!(people.youngestYears >= 20 && people.youngestYears <= people.oldestYears &&
          people.oldestYears <= 80))
        return invalid(said("ages from {} to {} are outside the model", textFromNumber(people.youngestYears),
                            textFromNumber(people.oldestYears)),
                       said("Give ages between 20 and 80 years, the younger first"));
    if (!(people.fieldDegrees >= 1 && people.fieldDegrees <= 10))
        return invalid(
            said("a field of {} degrees is outside the model", textFromNumber(people.fieldDegrees)),
            said("Give 1 to 10 degrees; 2 is a detail at arm's length, 10 a whole picture"));
    return std::optional(options);
}

Result<judge::Options> optionsFrom(const JudgeRequest& request, const Catalogue& catalogue) {
    judge::Options options{.aim = request.aim};
    std::vector<std::string> names = request.lights;
    if (names.empty()) names = usualScenes();
    std::optional<colour::Glazing> glazing;
    if (!request.glazing.empty()) {
        auto found = catalogue.glazing(request.glazing);
        if (!found) return std::move(found).error();
        glazing = *std::move(found);
    }
    if (request.lux && !(*request.lux > 0 && *request.lux <= kMostLux))
        return wrong("lux-invalid", said("a level of {} lux", textFromNumber(*request.lux)),
                     said("Give the light on the print in lux, above 0; full sun has 100000"));
    if (request.lux) options.d50Lux = *request.lux;
    for (const std::string& name : names) {
        auto scene = catalogue.scene(name);
        if (!scene) return std::move(scene).error();
        if (request.lux) scene->lux = *request.lux;
        if (glazing) scene->glazing = *glazing;
        if (judge::luminousShare(*scene) < kLeastLuminous) {
            return wrong("scene-dark",
                         said("of {}{}{} next to nothing reaches the eye", scene->light.name,
                              scene->glazing.transmittance.empty() ? "" : " behind ",
                              scene->glazing.transmittance.empty() ? "" : scene->glazing.name),
                         said("Choose another glazing or another light"));
        }
        const auto isThis = [&](const judge::Scene& one) { return sameName(one.name, scene->name); };
        if (std::ranges::none_of(options.scenes, isThis)) options.scenes.push_back(*std::move(scene));
    }
    auto viewers = viewersOf(request.viewers, catalogue);
    if (!viewers) return std::move(viewers).error();
    options.viewers = *std::move(viewers);
    if (options.viewers) options.viewers->goOn = request.goOn;
    return options;
}

bool mayBeInTheBook(const Error& error) {
    return error.code == "unknown-light" || error.code == "unknown-glazing" || error.code == "viewer-unknown";
}

}  // namespace

std::vector<std::string> usualScenes() {
    return {std::begin(kUsualScenes), std::end(kUsualScenes)};
}

Result<Catalogue> Studio::catalogue() const {
    auto book = open(book::OpenMode::readOnly);
    if (!book) {
        if (book.error().code == "book-not-found") return Catalogue();
        return std::move(book).error();
    }
    auto lights = book->lights();
    if (!lights) return std::move(lights).error();
    auto scenes = book->scenes();
    if (!scenes) return std::move(scenes).error();
    auto glazings = book->glazings();
    if (!glazings) return std::move(glazings).error();
    auto viewers = book->viewers();
    if (!viewers) return std::move(viewers).error();
    return Catalogue(*std::move(lights), *std::move(scenes), *std::move(glazings), *std::move(viewers));
}

Result<judge::Options> Studio::judgeOptions(const JudgeRequest& request) const {
    auto options = optionsFrom(request, Catalogue());
    if (!options && mayBeInTheBook(options.error())) {
        auto own = catalogue();
        if (!own) return std::move(own).error();
        options = optionsFrom(request, *own);
    }
    if (!options) return options;
    if (!request.second.empty()) {
        auto reading = measure::readingFromFile(request.second, measure::Condition::unknown);
        if (!reading) return std::move(reading).error();
        auto ramp = measure::rampFromReading(*reading, {});
        if (!ramp) return std::move(ramp).error();
        options->second = *std::move(ramp);
    }
    if (!request.picture.empty()) {
        if (!options->viewers) {
            return wrong("picture-without-viewers",
                         said("a picture's tones count only for what viewers notice"),
                         said("Leave the picture out, or ask viewers"));
        }
        auto shares = picture::lightnessShares(request.picture);
        if (!shares) return std::move(shares).error();
        options->pictureShares = *std::move(shares);
    }
    return options;
}

Result<std::vector<judge::Scene>> Studio::scenesOf(const std::vector<steer::LightGoal>& goals) const {
    if (goals.empty()) return std::vector<judge::Scene>{};
    JudgeRequest request{.viewers = {.count = 0}};
    for (const steer::LightGoal& goal : goals) {
        if (!(goal.weight > 0 && std::isfinite(goal.weight))) {
            return wrong("weight-invalid",
                         said("the light {} has a weight of {}", goal.name, textFromNumber(goal.weight)),
                         said("Give weights above 0, or leave them out"));
        }
        for (const std::string& name : request.lights) {
            if (sameName(name, goal.name)) {
                return wrong("light-twice", said("the light {} is named twice", goal.name),
                             said("Name it once"));
            }
        }
        request.lights.push_back(goal.name);
    }
    auto options = judgeOptions(request);
    if (!options) return std::move(options).error();
    return std::move(options->scenes);
}

Result<std::vector<Note>> Studio::addLight(const LightRequest& request) const {
    auto known = catalogue();
    if (!known) return std::move(known).error();
    if (auto free = isFree(request.name, known->ownScene(request.name) != nullptr, "scene"); !free)
        return std::move(free).error();
    book::NewLight added{
        .light = {.name = request.name, .description = request.description, .when = request.when}};
    std::vector<Note> notes;
    if (request.file.empty()) {
        added.light.origin = "mix";
        for (const book::LightShareRecord& part : request.parts) {
            auto light = known->light(part.light);
            if (!light) return std::move(light).error();
            added.light.parts.push_back({light->name, part.share});
        }
    } else {
        auto bytes = readWholeFile(request.file);
        if (!bytes) return std::move(bytes).error();
        auto lamp = measure::lampFromBytes(*bytes, request.file.string(), {.column = request.column});
        if (!lamp) return std::move(lamp).error();
        auto light = measure::lightFromLamp(*lamp, request.name);
        if (!light) {
            Error error = std::move(light).error();
            if (error.where.path.empty()) error.where.path = request.file.string();
            return error;
        }
        notes = lamp->notes;
        if (added.light.description.empty()) added.light.description = light->description;
        added.light.origin = fmt::format("{}, {}", lamp->format, lamp->quantity);
        added.light.grid = {light->power.grid.startNm, light->power.grid.stepNm, light->power.grid.count};
        added.light.power = light->power.values;
        added.light.ultraviolet = light->ultraviolet;
        added.light.fileName = request.file.filename().string();
        added.originalFile = *std::move(bytes);
    }
    auto book = open(book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    if (auto done = book->addLight(added); !done) return std::move(done).error();
    return notes;
}

Outcome Studio::removeLight(const std::string& name) const {
    if (auto may = mayGo(Catalogue::isShipped(name), name); !may) return may;
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->removeLight(name);
}

Outcome Studio::addScene(const book::SceneRecord& scene) const {
    auto known = catalogue();
    if (!known) return std::move(known).error();
    if (auto free = isFree(scene.name, known->ownLight(scene.name) != nullptr, "light"); !free) return free;
    auto light = known->light(scene.light);
    if (!light) return std::move(light).error();
    if (!scene.glazing.empty()) {
        if (auto glazing = known->glazing(scene.glazing); !glazing) return std::move(glazing).error();
    }
    auto book = open(book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    return book->addScene(scene);
}

Outcome Studio::removeScene(const std::string& name) const {
    if (auto may = mayGo(Catalogue::isShipped(name), name); !may) return may;
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->removeScene(name);
}

Result<std::vector<Note>> Studio::addGlazing(const GlazingRequest& request) const {
    if (colour::glazingByName(request.name)) {
        return wrong("name-shipped", said("'{}' is the name of a glazing that ships", request.name),
                     said("Choose another name"));
    }
    auto bytes = readWholeFile(request.file);
    if (!bytes) return std::move(bytes).error();
    auto reading = measure::transmittanceFromBytes(*bytes, request.file.string(), {.column = request.column});
    if (!reading) return std::move(reading).error();
    const colour::Spectrum& through = reading->transmittance;
    book::NewGlazing added{
        .glazing = {.name = request.name,
                    .description = request.description.empty() ? reading->description : request.description,
                    .origin = reading->format,
                    .grid = {through.grid.startNm, through.grid.stepNm, through.grid.count},
                    .transmittance = through.values,
                    .fileName = request.file.filename().string(),
                    .when = request.when},
        .originalFile = *std::move(bytes)};
    auto book = open(book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    if (auto done = book->addGlazing(added); !done) return std::move(done).error();
    return reading->notes;
}

Outcome Studio::removeGlazing(const std::string& name) const {
    if (auto may = mayGo(bool(colour::glazingByName(name)), name); !may) return may;
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->removeGlazing(name);
}

Outcome Studio::addViewer(const book::ViewerRecord& viewer) const {
    auto book = open(book::OpenMode::readWrite);
    if (!book) return std::move(book).error();
    return book->addViewer(viewer);
}

Outcome Studio::removeViewer(const std::string& name) const {
    auto book = openExisting();
    if (!book) return std::move(book).error();
    return book->removeViewer(name);
}

}  // namespace greywright::studio
