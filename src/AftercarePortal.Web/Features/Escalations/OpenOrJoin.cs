using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A reading opens a report, or joins or raises the open one, and what follows from that is done: in the current unit of work.</summary>
internal sealed class OpenOrJoin(PortalDb db, CarryOutSteps carryOut)
{
    /// <summary>Who a new report is about.</summary>
    /// <param name="Number">E.164.</param>
    /// <param name="Patient">Null: nobody here is known by it, or several are.</param>
    /// <param name="Language">What she is answered in.</param>
    /// <param name="FromIntake">Nobody checked the number, and nothing is texted to it.</param>
    public sealed record Sender(string Number, Guid? Patient = null, string Language = ContentFiles.Texts.DefaultLanguage, bool FromIntake = false);

    /// <param name="open">The open report of the message's sender, held; null: there is none.</param>
    /// <param name="newSigns">Whether the message counts as one with a sign not written before; null: its reading says so.</param>
    public async Task<(EscalationRow Report, Reach Reach)> Run(EscalationRow? open, MessageRow message, Reading reading, Sender sender, Instant now, CancellationToken stop, bool? newSigns = null)
    {
        var raised = open is null || reading.Tier > open.Tier;
        var signs = newSigns ?? (!raised && open?.TakenBy is not null && await db.HoldsNewSigns(open, reading, stop));
        if (open is null)
        {
            var id = OrderedId.New();
            open = new()
            {
                Id = id, ClinicId = message.ClinicId, PatientId = sender.Patient, Number = sender.Number, Ref = Reference.Of(id), Tier = reading.Tier, Language = sender.Language,
                OpenedAt = now, WrittenAt = message.WrittenAt, OpenKey = message.From, FromIntake = sender.FromIntake,
            };
            db.Add(open);
            db.Note(open, EscalationEvent.Opened, now);
        }
        else
        {
            if (raised) open.Tier = reading.Tier;                               // only up
            open.WrittenAt = Instant.Min(open.WrittenAt, message.WrittenAt);    // found late, written first
            db.Note(open, raised ? EscalationEvent.Raised : signs && open.TakenBy is not null ? EscalationEvent.NewSigns : EscalationEvent.Joined, now);
        }

        if (!sender.FromIntake && await db.HasStopped(message.From, stop)) db.Note(open, EscalationEvent.PatientCannotBeTexted, now);
        return (open, await carryOut.After(open, new Happening.Reported(raised, signs), now, stop));
    }
}
