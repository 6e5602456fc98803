using NodaTime;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>What a consent is worth on one day. The only place that decides it.</summary>
internal enum ConsentStanding
{
    /// <summary>Both have signed, the cooling-off time is over, nobody withdrew it.</summary>
    Stands,
    /// <summary>Both have signed; the first day of treatment is still to come.</summary>
    CoolingOff,
    /// <summary>The patient signed, no clinician has.</summary>
    NoClinician,
    /// <summary>The patient withdrew it.</summary>
    Withdrawn,
}

internal static class ConsentStandings
{
    extension(ConsentRow consent)
    {
        /// <summary>A clinician's name and the instant of signing are both there.</summary>
        public bool SignedByClinician => consent is { Clinician: not null, ClinicianSignedAt: not null };

        /// <summary>A clinician may still sign it: none has, and it was not withdrawn.</summary>
        public bool AwaitsClinician => !consent.SignedByClinician && consent.WithdrawnAt is null;

        /// <param name="today">The clinic's local date.</param>
        public ConsentStanding On(LocalDate today) =>
            consent.WithdrawnAt is not null ? ConsentStanding.Withdrawn
            : !consent.SignedByClinician ? ConsentStanding.NoClinician
            : consent.From > today ? ConsentStanding.CoolingOff
            : ConsentStanding.Stands;
    }
}
