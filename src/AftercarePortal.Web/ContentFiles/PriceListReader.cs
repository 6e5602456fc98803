using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads a clinic's price list: from content, or from a case on the command line.</summary>
internal static class PriceListReader
{
    private const long Most = PriceCase.MostMoney;
    private static readonly string[] Header = ["id", "version", "status", "effective", "language", "says", "not_for", "signed_by"];
    private static readonly string[] Keys = ["currency", "fillers", "toxin_unit", "session", "fee", "tax_basis_points", "packages"];

    /// <summary>From a content file; null, with every fault added.</summary>
    /// <param name="model">Knows the regions a package may name; null: they are not looked up.</param>
    internal static PriceList? Read(ContentDocument doc, List<ContentError> errors, PriceModel? model)
    {
        var before = errors.Count;
        var fields = new FieldReader((at, reason) => doc.Fault(errors, at, reason));
        PricingHeader.Check(doc, fields);
        var list = Read(doc.Root, "", doc.Version, fields, model, [.. Header, .. Keys]);
        return errors.Count == before ? list : null;
    }

    /// <summary>From one mapping without a header.</summary>
    internal static PriceList Read(JsonNode? node, string at, ContentVersion version, FieldReader fields, PriceModel? model) => Read(node, at, version, fields, model, Keys);

    private static PriceList Read(JsonNode? node, string at, ContentVersion version, FieldReader fields, PriceModel? model, string[] keys)
    {
        var row = fields.Mapping(node, at, keys);
        var currency = fields.Words(row["currency"], $"{at}/currency");
        if (Currency.MinorDigits(currency) is null) fields.Fault($"{at}/currency", "This must be the ISO 4217 code of a currency in use, for example USD.");
        // Only the fee may be nothing: any other price of 0 is one that was not set.
        long? Price(string key) => row[key] is null ? null : fields.Whole(row[key], $"{at}/{key}", key == "fee" ? 0 : 1, Most);
        var fillers = row["fillers"] is null ? [] : fields.Mapping(row["fillers"], $"{at}/fillers").ToDictionary(p => p.Key, p => Filler(p.Value, $"{at}/fillers/{p.Key}", fields));
        var packages = row["packages"] is null ? [] : fields.List(row["packages"], $"{at}/packages").Select((p, i) => Package(p, $"{at}/packages/{i}", fields, model)).ToList();
        var list = new PriceList(
            version, currency, fillers, Price("toxin_unit"), Price("session"), Price("fee"),
            (int)(row["tax_basis_points"] is null ? 0 : fields.Whole(row["tax_basis_points"], $"{at}/tax_basis_points", 0, 10000)))
        {
            Packages = [.. packages.OfType<PricePackage>()],
        };
        // A package is judged beside the others: only where all of them can be read.
        foreach (var (i, field, reason) in packages.Contains(null) ? [] : PackagePolicy.Faults(list)) fields.Fault($"{at}/packages/{i}/{field}", reason);
        return list;
    }

    private static PricePackage? Package(JsonNode? node, string at, FieldReader fields, PriceModel? model)
    {
        var row = fields.Mapping(node, at, "id", "name", "of", "units", "price", "regions");
        var (id, of) = (fields.Words(row["id"], $"{at}/id"), fields.Words(row["of"], $"{at}/of"));
        var names = fields.NamedWords(row["name"], $"{at}/name", PageWords.Languages);
        long units = fields.Whole(row["units"], $"{at}/units", PackagePolicy.Fewest, PackagePolicy.Most), price = fields.Whole(row["price"], $"{at}/price", 1, Most);
        List<string> regions = row["regions"] is null ? [] : [.. fields.List(row["regions"], $"{at}/regions").Select((r, i) => Region(r, $"{at}/regions/{i}", fields, model))];
        return units == 0 || price == 0 || of.Length == 0 ? null : new(id, names, of, (int)units, price, [.. regions.Distinct()]);
    }

    private static string Region(JsonNode? node, string at, FieldReader fields, PriceModel? model)
    {
        var code = fields.Words(node, at);
        if (code.Length > 0 && model is not null && model.Regions.All(r => r.Code != code)) fields.Fault(at, "The model has no region of this code.");
        return code;
    }

    private static ProductPrice Filler(JsonNode? node, string at, FieldReader fields)
    {
        var row = fields.Mapping(node, at, "unit_ml", "tolerance_ml", "first", "next");
        var (unit, tolerance) = (fields.Number(row["unit_ml"], $"{at}/unit_ml", ProductPrice.SmallestUnitMl, 50), fields.Number(row["tolerance_ml"], $"{at}/tolerance_ml", 0, 5));
        // Beyond a whole unit it would give away what is billed.
        if (unit >= ProductPrice.SmallestUnitMl && tolerance > unit) fields.Fault($"{at}/tolerance_ml", "This must be no more than one billed unit.");
        return new(
            unit, tolerance,
            fields.Whole(row["first"], $"{at}/first", 1, Most), fields.Whole(row["next"] ?? row["first"], $"{at}/next", 1, Most));
    }
}
