using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>What the core made of one message. Only added, never changed.</summary>
internal sealed class ReadingRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>The message that was read; unique, so each is read once.</summary>
    public required Guid MessageId { get; set; }
    /// <summary>The concern it opened or joined; null: none.</summary>
    public required Guid? EscalationId { get; set; }
    /// <summary>Of this message; the concern's own may be higher.</summary>
    public required Tier Tier { get; set; }
    /// <summary>Lexicon version, for example <c>lower-face.v1</c>.</summary>
    public required string Version { get; set; }
    /// <summary>The whole reading as JSON: clues with their spans, floors.</summary>
    public required string Json { get; set; }
    public required Instant ReadAt { get; set; }
}

/// <summary>One open or closed concern about one phone number.</summary>
internal sealed class EscalationRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>Null when nobody here has this number: a person looks all the same.</summary>
    public Guid? PatientId { get; set; }
    /// <summary>The number the report came from, E.164.</summary>
    public required string Number { get; set; }
    /// <summary>Short reference spoken and texted; no secret.</summary>
    public required string Ref { get; set; }
    /// <summary>Only rises.</summary>
    public required Tier Tier { get; set; }
    /// <summary>The language the patient last wrote in; what we tell her goes out in it.</summary>
    public string Language { get; set; } = Texts.DefaultLanguage;
    public required Instant OpenedAt { get; set; }
    /// <summary>When the first message of it was written: before <see cref="OpenedAt"/> when that was found late. How long the patient waits counts from here.</summary>
    public required Instant WrittenAt { get; set; }
    /// <summary>Staff id of who has it.</summary>
    public string? TakenBy { get; set; }
    /// <summary>When they took it; null while nobody has it.</summary>
    public Instant? TakenAt { get; set; }
    /// <summary>The paging round in which whoever has it was asked, after it was raised, to confirm; null: nothing waits to be confirmed.</summary>
    public int? ConfirmRound { get; set; }
    /// <summary>Null: it is open.</summary>
    public Instant? ClosedAt { get; set; }
    /// <summary>Staff id.</summary>
    public string? ClosedBy { get; set; }
    /// <summary>What was found and done, in the words of who closed it; null: it is open.</summary>
    public string? Outcome { get; set; }
    /// <summary>Counts what happened to it; of two that act on the same state at once the second is refused and tries again.</summary>
    public int Turn { get; set; }
    /// <summary>The number while open, the id once closed: the unique index allows one open concern a number.</summary>
    public required string OpenKey { get; set; }
    /// <summary>Words of an intake, not a text: nobody checked the number, and nothing is texted to it.</summary>
    public bool FromIntake { get; init; }
}

/// <summary>One link of the chain of events of an escalation.</summary>
internal sealed class EscalationEventRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    public required Guid EscalationId { get; set; }
    /// <summary>By the clock of the machine that noted it, which may be wrong: it is shown, and orders nothing.</summary>
    public required Instant At { get; set; }
    /// <summary>The report's turn it happened in, from 0: what came first.</summary>
    public required int Turn { get; set; }
    public required EscalationEvent What { get; set; }
    /// <summary>Staff id of who it was about, or null.</summary>
    public string? Person { get; set; }
    /// <summary>The text or call it is about, or null.</summary>
    public Guid? OutgoingId { get; set; }
}

/// <summary>What can happen to an escalation.</summary>
internal enum EscalationEvent { Opened, Joined, Raised, NewSigns, TakerNotReached, Paged, PagedEveryone, NobodyOnCall, PageNotDelivered, Taken, Confirmed, NotConfirmed, Passed, Reminded, Reopened, Closed, PatientTold, PatientCannotBeTexted, NumberChanged, PhotoNotFetched }

/// <summary>The tables of readings, of concerns and of what happened to each.</summary>
internal static class EscalationTable
{
    extension(PortalDb db)
    {
        public DbSet<ReadingRow> Readings => db.Set<ReadingRow>();
        public DbSet<EscalationRow> Escalations => db.Set<EscalationRow>();
        public DbSet<EscalationEventRow> EscalationEvents => db.Set<EscalationEventRow>();

        /// <summary>Holds a key, and its open report where there is one, until the transaction ends: nobody closes it in between, and no other machine reads another text of this number meanwhile, or of two halves neither would be read with the other.</summary>
        public async Task HoldOpen(string key, CancellationToken stop)
        {
            await db.HoldKey(key, stop);
            await db.Escalations.Where(e => e.OpenKey == key).ExecuteUpdateAsync(set => set.SetProperty(e => e.Ref, e => e.Ref), stop);
        }

        /// <summary>Adds one link to the chain.</summary>
        public void Note(EscalationRow escalation, EscalationEvent what, Instant now, string? person = null, Guid? outgoing = null) =>
            db.Add(new EscalationEventRow { ClinicId = escalation.ClinicId, EscalationId = escalation.Id, At = now, Turn = escalation.Turn, What = what, Person = person, OutgoingId = outgoing });
    }

    /// <summary>Reports that go on in one moment, the order in which they do: the most urgent first, of equals the oldest.</summary>
    public static IEnumerable<EscalationRow> WorstFirst(this IEnumerable<EscalationRow> reports) => reports.OrderByDescending(e => e.Tier).ThenBy(e => e.OpenedAt).ThenBy(e => e.Id);

    /// <summary>The order in which they happened: by the report's turns, within one as they were noted. A clock set back in the middle of a night changes nothing of it.</summary>
    public static IEnumerable<EscalationEventRow> InOrder(this IEnumerable<EscalationEventRow> events) => events.OrderBy(e => e.Turn).ThenBy(e => e.Id);

    /// <summary>How they are stored: one reading for each message, one open concern for each key; of two who act on a concern at once the second is refused.</summary>
    internal sealed class Mapping :
        IEntityTypeConfiguration<ReadingRow>, IEntityTypeConfiguration<EscalationRow>, IEntityTypeConfiguration<EscalationEventRow>
    {
        public void Configure(EntityTypeBuilder<ReadingRow> reading)
        {
            reading.ToTable("Readings");
            reading.Property(r => r.Version).HasMaxLength(80);
            reading.HasIndex(r => r.MessageId).IsUnique();
            reading.HasIndex(r => new { r.ClinicId, r.EscalationId, r.ReadAt });
        }

        public void Configure(EntityTypeBuilder<EscalationRow> escalation)
        {
            escalation.ToTable("Escalations");
            escalation.Property(e => e.Number).HasMaxLength(64);
            escalation.Property(e => e.Ref).HasMaxLength(8);
            escalation.Property(e => e.OpenKey).HasMaxLength(64);
            escalation.Property(e => e.Language).HasMaxLength(5);
            escalation.Property(e => e.TakenBy).HasMaxLength(100);
            escalation.Property(e => e.Turn).IsConcurrencyToken();
            escalation.HasIndex(e => new { e.ClinicId, e.OpenKey }).IsUnique();
            escalation.HasIndex(e => new { e.ClinicId, e.Ref });
            escalation.HasIndex(e => new { e.ClinicId, e.PatientId });
            escalation.HasIndex(e => new { e.ClinicId, e.Number });
        }

        public void Configure(EntityTypeBuilder<EscalationEventRow> happened)
        {
            happened.ToTable("EscalationEvents");
            happened.Property(e => e.Person).HasMaxLength(100);
            happened.HasIndex(e => e.EscalationId);
        }
    }
}
