using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads the price model and checks every question and answer it names against the questionnaire.</summary>
internal sealed class PricingReader
{
    private const double MostLog = 2;
    private readonly ContentDocument _doc;
    private readonly Questionnaire _questionnaire;
    private readonly FieldReader _fields;

    private PricingReader(ContentDocument doc, Questionnaire questionnaire, List<ContentError> errors)
    {
        (_doc, _questionnaire) = (doc, questionnaire);
        _fields = new((at, reason) => doc.Fault(errors, at, reason));
    }

    /// <summary>Null, with every fault added, when the model cannot be used exactly as it stands.</summary>
    internal static PriceModel? Read(ContentDocument doc, Questionnaire questionnaire, List<ContentError> errors)
    {
        var before = errors.Count;
        var model = new PricingReader(doc, questionnaire, errors).Model();
        return errors.Count == before ? model : null;
    }

    private PriceModel Model()
    {
        PricingHeader.Check(_doc, _fields);
        _fields.Mapping(
            _doc.Root, "", "id", "version", "status", "effective", "language", "says", "not_for", "signed_by", "questionnaire", "regions", "spread", "clinic_level", "effects", "laxity", "bone",
            "side_difference", "ages", "open", "second_visit", "toxin", "sessions", "visit_cap", "resistance", "most_units", "most_ml", "words", "words_in", "translations");
        if (PricingHeader.Text(_doc.Root["questionnaire"]) != _questionnaire.Version.ToString()) _fields.Fault("/questionnaire", $"The questionnaire at hand is {_questionnaire.Version}.");
        var regions = _fields.Mapping(_doc.Root["regions"], "/regions").Select(p => Region(p.Key, p.Value)).ToList();
        if (regions.Count == 0) _fields.Fault("/regions", "At least one region is needed.");
        var spread = Block("spread", "whole_face", "region", "side", "like_cases", "scale");
        var level = Block("clinic_level", "sd", "injector_sd");
        var resistance = Block("resistance", "shift", "sd");
        var effects = _fields.Mapping(_doc.Root["effects"], "/effects", [.. PriceModel.EffectIds]);
        var second = Block("second_visit", "probability", "share", "sd");
        var cap = Block("visit_cap", "product", "regions", "ml_per_side");
        var (laxity, bone) = (Exam("laxity"), Exam("bone"));
        var open = Open();
        var toxin = Block("toxin", "region", "by_laxity");
        var sessions = Block("sessions", "regions", "by_laxity");
        Code("wish-regions", toxin["region"], "/toxin/region");
        if (!open.Product.ContainsKey(PricingHeader.Text(cap["product"]) ?? "")) _fields.Fault("/visit_cap/product", "The model has no product of this code.");
        var doses = Rows(toxin, "toxin", laxity, (row, at) => Doses(row, at));
        return new(
            _doc.Version, regions,
            new(_fields.Number(spread["whole_face"], "/spread/whole_face", 0, MostLog), _fields.Number(spread["region"], "/spread/region", 0, MostLog), _fields.Number(spread["side"], "/spread/side", 0, MostLog),
                _fields.Number(spread["like_cases"], "/spread/like_cases", 2, 1000), _fields.Number(spread["scale"], "/spread/scale", 0.01, 100)),
            _fields.Number(level["sd"], "/clinic_level/sd", 0, MostLog), PriceModel.EffectIds.ToDictionary(id => id, id => Effect(effects[id], $"/effects/{id}", true)),
            laxity, bone, Sides(), Ages(), open,
            new(_fields.Number(second["probability"], "/second_visit/probability", 0, 1), _fields.Number(second["share"], "/second_visit/share", 0.01, 10), _fields.Number(second["sd"], "/second_visit/sd", 0.01, MostLog)),
            new(PricingHeader.Text(toxin["region"]) ?? "", doses), new(Regions(sessions["regions"], "/sessions/regions"), Rows(sessions, "sessions", laxity, (row, at) => (IReadOnlyList<double>)_fields.Chances(row, at))),
            new(PricingHeader.Text(cap["product"]) ?? "", Regions(cap["regions"], "/visit_cap/regions"), _fields.Number(cap["ml_per_side"], "/visit_cap/ml_per_side", 0.1, 50)),
            (int)_fields.Whole(_doc.Root["most_units"], "/most_units", 10, 100), _fields.Number(_doc.Root["most_ml"], "/most_ml", 10, 100), Words(_doc.Root["words"], "/words", open, PageWords.Languages[0]))
        {
            InjectorSd = _fields.Number(level["injector_sd"], "/clinic_level/injector_sd", 0, MostLog), Resistance = Resistance(resistance),
            Translations = PageWords.Languages.Skip(1).ToDictionary(l => l, l => Words(_doc.Root["words_in"]?[l], $"/words_in/{l}", open, l)),
        };
    }

    private JsonObject Block(string name, params string[] keys)
    {
        var row = _fields.Mapping(_doc.Root[name], "/" + name, [.. keys, "tag", "sources"]);
        PricingHeader.CheckOrigin(row, "/" + name, _fields);
        return row;
    }

    private RegionPrior Region(string code, JsonNode? node)
    {
        var at = $"/regions/{code}";
        var row = _fields.Mapping(node, at, "median_ml", "sides", "level_sd", "tag", "sources");
        PricingHeader.CheckOrigin(row, at, _fields);
        Code("wish-regions", JsonValue.Create(code), at);
        return new(code, _fields.Number(row["median_ml"], $"{at}/median_ml", 0.01, 20), (int)_fields.Whole(row["sides"], $"{at}/sides", 1, 2), _fields.Number(row["level_sd"], $"{at}/level_sd", 0, MostLog));
    }

    private EffectPrior Effect(JsonNode? node, string at, bool origin)
    {
        var row = _fields.Mapping(node, at, origin ? ["mean", "sd", "tag", "sources"] : ["mean", "sd"]);
        if (origin) PricingHeader.CheckOrigin(row, at, _fields);
        return new(_fields.Number(row["mean"], $"{at}/mean", -MostLog, MostLog), _fields.Number(row["sd"], $"{at}/sd", 0, MostLog));
    }

    private ExamFactor Exam(string name)
    {
        var row = Block(name, "scores", "strength", "cuts", "by_year", "from_age", "answer", "if_yes");
        double[] scores = _fields.Numbers(row["scores"], $"/{name}/scores", -MostLog, MostLog), cuts = _fields.Numbers(row["cuts"], $"/{name}/cuts", -20, 20);
        if (cuts.Length != scores.Length - 1) _fields.Fault($"/{name}/cuts", "There is one cut fewer than there are scores.");
        if (!cuts.SequenceEqual(cuts.Order()) || cuts.Distinct().Count() != cuts.Length) _fields.Fault($"/{name}/cuts", "Cuts rise.");
        var answer = _fields.Words(row["answer"], $"/{name}/answer");
        if (!_questionnaire.Questions.Any(q => q.LinkId == answer && q.Kind == QuestionKind.YesNo)) _fields.Fault($"/{name}/answer", "The questionnaire has no yes-or-no question with this linkId.");
        return new(
            scores, Effect(row["strength"], $"/{name}/strength", false), cuts, _fields.Number(row["by_year"], $"/{name}/by_year", -1, 1), _fields.Number(row["from_age"], $"/{name}/from_age", 0, 110),
            answer, _fields.Number(row["if_yes"], $"/{name}/if_yes", -10, 10));
    }

    private SideDifferencePrior Sides()
    {
        var row = Block("side_difference", "factor", "by_answer", "unanswered");
        var factor = _fields.Numbers(row["factor"], "/side_difference/factor", 0, 5);
        var answers = _fields.Mapping(row["by_answer"], "/side_difference/by_answer").ToDictionary(p => p.Key, p => (IReadOnlyList<double>)_fields.Chances(p.Value, $"/side_difference/by_answer/{p.Key}"));
        foreach (var code in answers.Keys) Code("side-difference", JsonValue.Create(code), $"/side_difference/by_answer/{code}");
        var unanswered = _fields.Chances(row["unanswered"], "/side_difference/unanswered");
        if (answers.Values.Append(unanswered).Any(p => p.Count != factor.Length)) _fields.Fault("/side_difference/by_answer", "Every answer has one probability for each factor.");
        return new(factor, answers, unanswered);
    }

    private ResistancePrior Resistance(JsonObject row)
    {
        double[] shift = _fields.Numbers(row["shift"], "/resistance/shift", -MostLog, MostLog), sd = _fields.Numbers(row["sd"], "/resistance/sd", 0, MostLog);
        if (shift.Length != sd.Length) _fields.Fault("/resistance/sd", "Every level has a shift and an sd.");
        if (shift is not [0, ..] || sd is not [0, ..]) _fields.Fault("/resistance/shift", "The first level is none: it shifts and spreads nothing.");
        return new(shift, sd);
    }

    private List<AgeBand> Ages()
    {
        var bands = new List<AgeBand>();
        foreach (var (node, i) in _fields.List(_doc.Root["ages"], "/ages").Select((n, i) => (n, i)))
        {
            var row = _fields.Mapping(node, $"/ages/{i}", "from", "middle", "share", "tag", "sources");
            PricingHeader.CheckOrigin(row, $"/ages/{i}", _fields);
            bands.Add(new((int)_fields.Whole(row["from"], $"/ages/{i}/from", 18, 110), _fields.Number(row["middle"], $"/ages/{i}/middle", 18, 110), _fields.Number(row["share"], $"/ages/{i}/share", 0, 1)));
            if (i > 0 && bands[i].From <= bands[i - 1].From) _fields.Fault($"/ages/{i}/from", "Bands go from young to old.");
            if (bands[i].Middle < bands[i].From) _fields.Fault($"/ages/{i}/middle", "The middle of a band is not below its start.");
        }

        if (bands.Count > 0 && bands[0].From != 18) _fields.Fault("/ages/0/from", "The first band starts at 18.");
        _fields.AddUp(bands.Select(b => b.Share), "/ages");
        return bands;
    }

    private OpenShares Open()
    {
        var row = Block("open", "male", "weight-change", "tooth-loss", "earlier-filler", "filler-here", "earlier-filler-when", "stimulator", "wish-strength", "wish-product");
        double Share(string key) => _fields.Number(row[key], $"/open/{key}", 0, 1);
        Dictionary<string, double> Shares(string linkId)
        {
            var shares = _fields.NamedChances(row[linkId], $"/open/{linkId}");
            foreach (var code in shares.Keys) Code(linkId, JsonValue.Create(code), $"/open/{linkId}/{code}");
            return shares;
        }

        return new(Share("male"), Share("weight-change"), Share("tooth-loss"), Share("earlier-filler"), Share("filler-here"), Shares("earlier-filler-when"), Share("stimulator"), Shares("wish-strength"), Shares("wish-product"));
    }

    private List<T> Rows<T>(JsonObject block, string name, ExamFactor laxity, Func<JsonNode?, string, T> read)
    {
        var rows = _fields.List(block["by_laxity"], $"/{name}/by_laxity").Select((row, i) => read(row, $"/{name}/by_laxity/{i}")).ToList();
        if (rows.Count != laxity.Scores.Count) _fields.Fault($"/{name}/by_laxity", "There is one row for each level of laxity.");
        return rows;
    }

    private IReadOnlyList<(int, double)> Doses(JsonNode? node, string at)
    {
        var doses = _fields.List(node, at).Select((pair, i) => pair is JsonArray { Count: 2 }
            ? ((int)_fields.Whole(pair[0], $"{at}/{i}/0", 0, 1000), _fields.Number(pair[1], $"{at}/{i}/1", 0, 1)) : ((int)_fields.Whole(null, $"{at}/{i}", 0, 1000), 0)).ToList();
        _fields.AddUp(doses.Select(d => d.Item2), at);
        return doses;
    }

    private List<string> Regions(JsonNode? node, string at) => [.. _fields.List(node, at).Select((n, i) => Code("wish-regions", n, $"{at}/{i}"))];

    private string Code(string linkId, JsonNode? node, string at)
    {
        var code = _fields.Words(node, at);
        if (!_questionnaire.Questions.Any(q => q.LinkId == linkId && q.Options.Any(o => o.Code == code))) _fields.Fault(at, $"The question {linkId} has no answer of this code.");
        return code;
    }

    private PriceWords Words(JsonNode? node, string at, OpenShares open, string language)
    {
        var row = _fields.Mapping(node, at, "reasons", "narrows", "questions", "products", "lines", "if_chosen", "count_word", "staged", "notes");
        foreach (var linkId in PriceWords.LinkIds.Where(id => _questionnaire.Questions.All(q => q.LinkId != id))) _fields.Fault("/questionnaire", $"The model needs the question {linkId}.");
        return new(
            _fields.NamedWords(row["reasons"], $"{at}/reasons", PriceWords.Causes), _fields.NamedWords(row["narrows"], $"{at}/narrows", PriceWords.Knowable),
            _fields.NamedWords(row["questions"], $"{at}/questions", PriceWords.LinkIds), _fields.NamedWords(row["products"], $"{at}/products", [.. open.Product.Keys]),
            _fields.NamedWords(row["lines"], $"{at}/lines", PriceWords.LineIds), _fields.Words(row["if_chosen"], $"{at}/if_chosen"), _fields.Words(row["count_word"], $"{at}/count_word"), _fields.Words(row["staged"], $"{at}/staged"))
        {
            Language = language, Notes = _fields.NamedWords(row["notes"], $"{at}/notes", PriceWords.NoteIds),
        };
    }
}
