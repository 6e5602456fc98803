using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>A signed record as its addenda put it right. The record itself stays as it was signed.</summary>
internal static class PutRight
{
    extension(TreatmentRow record)
    {
        /// <summary>What the latest addendum about it says.</summary>
        public RecordStanding Standing => record.Latest(a => a.Standing) ?? RecordStanding.Holds;

        /// <summary>Whether it says what was done to its patient: not void, and not everything of it put right to nothing.</summary>
        public bool DoesHold => record.Standing is RecordStanding.Holds && (record.Placements.Count == 0 || record.Placements.Exists(p => AmountOf(record.AsPutRight(p)) > 0));

        /// <summary>Why it does not hold, in a sentence; null: it holds.</summary>
        public string? WhyNot => record.Standing is not RecordStanding.Holds ? Words(record.Standing) : record.DoesHold ? null : "By its addenda nothing of this record was given.";

        /// <summary>A copy with the right day, and of each placement the right region, side, class, product, lot, expiry and amount; placements of which nothing was placed are left out. Never to be saved.</summary>
        public TreatmentRow AsPutRight() => new()
        {
            Id = record.Id, ClinicId = record.ClinicId, PatientId = record.PatientId, TreatedOn = record.Latest(a => a.RightDay) ?? record.TreatedOn, SignedBy = record.SignedBy, SignedAt = record.SignedAt,
            Number = record.Number, Events = record.Events, RecalledWhy = record.RecalledWhy,
            ConsentGap = record.ConsentGap, NoConsent = record.NoConsent, NoConsentWords = record.NoConsentWords, PlanId = record.PlanId, TouchUpOf = record.TouchUpOf, Addenda = record.Addenda,
            Placements = [.. record.Placements.OrderBy(p => p.Ordinal).Select(record.AsPutRight).Where(p => AmountOf(p) > 0)],
            Drawn = [.. record.Drawn.OrderBy(d => d.Ordinal).Select(record.AsPutRight)],
        };

        /// <summary>A copy of one placement as it was; its amount may be 0.</summary>
        public PlacementRow AsPutRight(PlacementRow p) => string.Join(", ", Differences(p, record.RightOf(p, null)).Select(d => d.Was)) is { Length: > 0 } signed ? record.RightOf(p, signed) : record.RightOf(p, p.WasSigned);

        private PlacementRow RightOf(PlacementRow p, string? wasSigned)
        {
            var (lot, product) = (record.LatestOf(p, a => a.RightLot), record.LatestOf(p, a => a.RightClass) ?? p.ProductClass);
            var (amount, toxin) = (record.LatestOf(p, a => a.RightAmount) ?? AmountOf(p), product is ProductClass.BotulinumToxinTypeA);
            return new()
            {
                Id = p.Id, ClinicId = p.ClinicId, TreatmentId = p.TreatmentId, Ordinal = p.Ordinal, Region = record.LatestOf(p, a => a.RightRegion) ?? p.Region, Side = record.LatestOf(p, a => a.RightSide) ?? p.Side,
                ProductClass = product, ProductName = record.LatestOf(p, a => a.RightProduct) ?? p.ProductName, Lot = lot ?? p.Lot, Expiry = record.LatestOf(p, a => a.RightExpiry) ?? p.Expiry,
                Udi = lot is null ? p.Udi : null,                                   // the barcode was that of another pack
                HundredthsMl = toxin ? null : amount, TenthsUnits = toxin ? amount : null, Plane = p.Plane, Device = p.Device, EntryPoint = p.EntryPoint, WasSigned = wasSigned,
            };
        }

        /// <summary>What of a placement addenda put right, in words; empty: nothing.</summary>
        public IReadOnlyList<string> WhatIsRight(PlacementRow p) => [.. Differences(p, record.AsPutRight(p)).Select(d => d.Right)];

        // What was drawn up of a lot goes with it when every placement of that lot was put right to one and the same.
        private DrawnRow AsPutRight(DrawnRow d)
        {
            var key = LotKey.Of(d.Lot);
            var now = record.Placements.Where(p => p.LotKey == key && p.ProductClass == d.ProductClass).Select(record.AsPutRight).Select(p => (p.ProductClass, p.Lot)).Distinct().ToList();
            return now is not [var (product, lot)] ? d : new() { Id = d.Id, ClinicId = d.ClinicId, TreatmentId = d.TreatmentId, Ordinal = d.Ordinal, ProductClass = product, Lot = lot, Hundredths = d.Hundredths, HundredthsDiluent = d.HundredthsDiluent };
        }

        private T? Latest<T>(Func<AddendumRow, T?> what) => record.Addenda.OrderBy(a => a.WrittenAt).ThenBy(a => a.Id).Select(what).LastOrDefault(value => value is not null);

        private T? LatestOf<T>(PlacementRow p, Func<AddendumRow, T?> what) => record.Latest(a => a.Corrects == p.Ordinal ? what(a) : default);
    }

    /// <summary>Whether a record holds, in a sentence.</summary>
    public static string Words(RecordStanding standing) => standing switch
    {
        RecordStanding.WrongPatient => "This record does not hold: it was written for the wrong patient.",
        RecordStanding.EnteredTwice => "This record does not hold: it was entered twice.",
        RecordStanding.NotGiven => "This record does not hold: nothing of it was given.",
        _ => "This record holds.",
    };

    /// <summary>Where two readings of one placement differ, each as was and as is right, in words; an amount stands without its name.</summary>
    public static IEnumerable<(string Was, string Right)> Differences(PlacementRow was, PlacementRow right)
    {
        if (was.Amount != right.Amount) yield return (was.Amount, right.Amount);
        if (was.Region != right.Region) yield return (Plain.Words(was.Region), Plain.Words(right.Region));
        if (was.Side != right.Side) yield return ($"side {Plain.Words(was.Side)}", Plain.Words(right.Side));
        if (was.ProductClass != right.ProductClass) yield return (was.ProductClass.Name(), right.ProductClass.Name());
        if (was.ProductName != right.ProductName) yield return (was.ProductName, right.ProductName);
        if (was.Lot != right.Lot) yield return ($"lot {was.Lot}", $"lot {right.Lot}");
        if (was.Expiry != right.Expiry) yield return ($"expiry {Plain.Day(was.Expiry)}", Plain.Day(right.Expiry));
    }

    private static int AmountOf(PlacementRow p) => p.HundredthsMl ?? p.TenthsUnits.GetValueOrDefault();
}
